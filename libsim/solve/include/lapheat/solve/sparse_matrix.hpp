// A small square matrix whose pattern is found by use, and the solution of (I − c A) x = b with it:
// the linear part of implicit steps.
//
// Unknowns that no other one depends on (sums, sensors) are left out of the factor and follow from
// its solution. The rest is eliminated in an order that keeps it sparse, without pivoting: what
// implicit steps ask for is diagonally dominant or close to it, for every c > 0, when A is a
// network of flows between stores. The elimination is laid out once as a list of operations.
#pragma once

#include <cstdint>
#include <vector>

namespace lapheat::solve {

/// Entries by row and column; adding to a place for the first time widens the pattern.
class SparseMatrix {
  public:
    explicit SparseMatrix(std::size_t size = 0) : size_(size), place_(size * size, -1) {}

    /// All entries to zero; the pattern stays.
    void clear() { values_.assign(values_.size(), 0.0); }
    void add(int row, int column, double value) {
        std::int32_t& place =
            place_[static_cast<std::size_t>(row) * size_ + static_cast<std::size_t>(column)];
        if (place < 0) place = widen(row, column);
        values_[static_cast<std::size_t>(place)] += value;
    }
    [[nodiscard]] std::size_t size() const { return size_; }
    [[nodiscard]] std::size_t entries() const { return values_.size(); }
    [[nodiscard]] int row(std::size_t entry) const { return rows_[entry]; }
    [[nodiscard]] int column(std::size_t entry) const { return columns_[entry]; }
    [[nodiscard]] double value(std::size_t entry) const { return values_[entry]; }
    /// 0 where nothing has been added.
    [[nodiscard]] double at(int row, int column) const;

  private:
    std::int32_t widen(int row, int column);

    std::size_t size_;
    std::vector<std::int32_t> place_;  ///< in values_ of each row and column; −1: none
    std::vector<std::int32_t> rows_, columns_;
    std::vector<double> values_;
};

/// (I − c A) factored. One for each integration.
class ShiftedFactor {
  public:
    /// False if a pivot is zero or not finite.
    bool factor(const SparseMatrix& a, double c);
    /// b → x in place, by the last factor.
    void solve(double* b) const;

    /// Unknowns in the factor, and its entries: what a solve costs.
    [[nodiscard]] std::size_t unknowns() const { return order_.size(); }
    [[nodiscard]] std::size_t fill() const { return value_.size(); }

  private:
    struct Update {  ///< value[target] −= value[left] value[right]
        std::int32_t target, left, right;
    };
    /// What a solve goes through: the entries of L or U row by row, in the order they are used.
    struct Sweep {
        std::vector<std::int32_t> place, unknown, end;  ///< of each entry; where each row ends
        std::vector<double> value;                      ///< as the last factor has them
        void clear();
        void add(std::int32_t at, std::int32_t of);
        void end_row() { end.push_back(static_cast<std::int32_t>(place.size())); }
        void take(const std::vector<double>& values);
    };
    struct Tail {  ///< an entry of a row that follows
        std::int32_t row, column;
        double value;
    };
    void analyse(const SparseMatrix& a);
    /// Plans every pivot's work. `spot`: the place in value_ of each row and column, -1 none, of
    /// which there are `count`; what elimination fills in is added. Returns how many there are
    /// then.
    std::int32_t eliminate(std::vector<std::int32_t>& spot, std::int32_t count);

    std::size_t size_ = 0, analysed_ = 0;  ///< of the matrix, and its entries then
    std::vector<std::int32_t> order_;      ///< unknowns in their order of elimination
    std::vector<std::int32_t> from_;       ///< of each entry of the matrix: where it goes in value_
    std::vector<double> value_;            ///< L without its unit diagonal, U; by place
    std::vector<std::int32_t> diagonal_;   ///< places
    std::vector<std::int32_t> below_;      ///< places of L by columns
    std::vector<std::int32_t> below_end_, update_end_;  ///< of each pivot
    Sweep lower_, upper_;  ///< L from its first row and column on, U from its last
    std::vector<Update> updates_;
    std::vector<double> inverse_;  ///< of each pivot
    std::vector<std::int32_t> followers_;
    std::vector<std::int32_t> tail_of_;  ///< of each entry: number in tails_, −1 none
    std::vector<Tail> tails_;
    std::vector<double> follower_;           ///< inverse of each follower's own diagonal
    std::vector<std::int32_t> follower_of_;  ///< of each unknown: number in followers_, −1
};

}  // namespace lapheat::solve
