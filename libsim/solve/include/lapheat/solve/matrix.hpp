// Dense matrices of a few to some hundred rows, and what is asked of them: products, linear least
// squares, roots of a covariance, singular values. The work is Eigen's, in one source: whoever
// includes this compiles none of it.
#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

namespace lapheat::solve {

/// By columns; zeros until set. Indices are not checked.
class Matrix {
  public:
    Matrix() = default;
    Matrix(std::size_t rows, std::size_t columns)
        : rows_(rows), columns_(columns), values_(rows * columns) {}

    [[nodiscard]] std::size_t rows() const noexcept { return rows_; }
    [[nodiscard]] std::size_t columns() const noexcept { return columns_; }
    [[nodiscard]] bool empty() const noexcept { return values_.empty(); }
    [[nodiscard]] double& operator()(std::size_t row, std::size_t column) {
        return values_[column * rows_ + row];
    }
    [[nodiscard]] double operator()(std::size_t row, std::size_t column) const {
        return values_[column * rows_ + row];
    }
    [[nodiscard]] std::span<double> column(std::size_t j) { return {&values_[j * rows_], rows_}; }
    [[nodiscard]] std::span<const double> column(std::size_t j) const {
        return {&values_[j * rows_], rows_};
    }
    [[nodiscard]] std::span<double> values() noexcept { return values_; }
    [[nodiscard]] std::span<const double> values() const noexcept { return values_; }

    Matrix& operator*=(double factor);

  private:
    std::size_t rows_ = 0, columns_ = 0;
    std::vector<double> values_;
};

/// Throw Error for shapes that do not fit.
[[nodiscard]] Matrix operator*(const Matrix& a, const Matrix& b);
[[nodiscard]] std::vector<double> operator*(const Matrix& a, std::span<const double> x);

[[nodiscard]] Matrix transposed(const Matrix& a);
/// Of a square one; not finite where it has none.
[[nodiscard]] Matrix inverse(const Matrix& a);

/// x that makes |a x - b| least, by Householder's QR with pivots (Golub & Van Loan, Matrix
/// Computations, 5.4). Throws Error for shapes that do not fit.
[[nodiscard]] std::vector<double> linear_least_squares(const Matrix& a, std::span<const double> b);

/// The lower triangle L with L Lᵀ = a (Cholesky); none if `a` is not positive definite.
[[nodiscard]] std::optional<Matrix> lower_root(const Matrix& a);

struct SingularValues {
    std::vector<double> values;  ///< largest first; as many as the lesser of rows and columns
    Matrix right;                ///< V of a = U S Vᵀ, thin

    /// (aᵀ a)⁻¹; directions whose value is at most `least` of the largest are left out.
    [[nodiscard]] Matrix normal_inverse(double least) const;
};
[[nodiscard]] SingularValues singular_values(const Matrix& a);

}  // namespace lapheat::solve
