#include "lapheat/solve/matrix.hpp"

#include <fmt/core.h>

#include <Eigen/Cholesky>
#include <Eigen/LU>
#include <Eigen/QR>
#include <Eigen/SVD>

#include "lapheat/units/error.hpp"

namespace lapheat::solve {
namespace {

using Eigen::MatrixXd;
using Eigen::VectorXd;

Eigen::Index index(std::size_t i) { return static_cast<Eigen::Index>(i); }

Eigen::Map<const MatrixXd> view(const Matrix& a) {
    return {a.values().data(), index(a.rows()), index(a.columns())};
}
Eigen::Map<const VectorXd> view(std::span<const double> x) { return {x.data(), index(x.size())}; }

Matrix matrix(const MatrixXd& from) {
    Matrix out(static_cast<std::size_t>(from.rows()), static_cast<std::size_t>(from.cols()));
    Eigen::Map<MatrixXd>(out.values().data(), from.rows(), from.cols()) = from;
    return out;
}
std::vector<double> vector(const VectorXd& from) {
    return {from.data(), from.data() + from.size()};
}

void need_alike(std::size_t a, std::size_t b) {
    if (a != b) throw Error(fmt::format("matrices of shapes that do not fit: {} against {}", a, b));
}

}  // namespace

Matrix& Matrix::operator*=(double factor) {
    for (double& x : values_) x *= factor;
    return *this;
}

Matrix operator*(const Matrix& a, const Matrix& b) {
    need_alike(a.columns(), b.rows());
    return matrix(view(a) * view(b));
}

std::vector<double> operator*(const Matrix& a, std::span<const double> x) {
    need_alike(a.columns(), x.size());
    return vector(view(a) * view(x));
}

Matrix transposed(const Matrix& a) { return matrix(view(a).transpose()); }

Matrix inverse(const Matrix& a) {
    need_alike(a.rows(), a.columns());
    return matrix(view(a).inverse());
}

std::vector<double> linear_least_squares(const Matrix& a, std::span<const double> b) {
    need_alike(a.rows(), b.size());
    return vector(view(a).colPivHouseholderQr().solve(view(b)));
}

std::optional<Matrix> lower_root(const Matrix& a) {
    need_alike(a.rows(), a.columns());
    const Eigen::LLT<MatrixXd> factor(view(a));
    if (factor.info() != Eigen::Success) return std::nullopt;
    return matrix(factor.matrixL());
}

SingularValues singular_values(const Matrix& a) {
    const Eigen::JacobiSVD<MatrixXd> svd(view(a), Eigen::ComputeThinV);
    return {vector(svd.singularValues()), matrix(svd.matrixV())};
}

Matrix SingularValues::normal_inverse(double least) const {
    VectorXd inverse = VectorXd::Zero(index(values.size()));
    for (std::size_t i = 0; i < values.size(); ++i)
        if (values[i] > least * values[0]) inverse[index(i)] = 1 / (values[i] * values[i]);
    return matrix(view(right) * inverse.asDiagonal() * view(right).transpose());
}

}  // namespace lapheat::solve
