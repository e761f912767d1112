#include "lapheat/solve/sparse_matrix.hpp"

#include <algorithm>
#include <cmath>

#include "lapheat/solve/node_system.hpp"

namespace lapheat::solve {
namespace {

std::size_t index(std::int32_t i) { return static_cast<std::size_t>(i); }

}  // namespace

std::int32_t SparseMatrix::widen(int row, int column) {
    rows_.push_back(row);
    columns_.push_back(column);
    values_.push_back(0);
    return static_cast<std::int32_t>(values_.size()) - 1;
}

double SparseMatrix::at(int row, int column) const {
    const std::int32_t place =
        place_[static_cast<std::size_t>(row) * size_ + static_cast<std::size_t>(column)];
    return place < 0 ? 0 : values_[static_cast<std::size_t>(place)];
}

void ShiftedFactor::Sweep::clear() {
    place.clear();
    unknown.clear();
    end.clear();
}

void ShiftedFactor::Sweep::add(std::int32_t at, std::int32_t of) {
    place.push_back(at);
    unknown.push_back(of);
}

void ShiftedFactor::Sweep::take(const std::vector<double>& values) {
    value.resize(place.size());
    for (std::size_t e = 0; e < place.size(); ++e) value[e] = values[index(place[e])];
}

std::int32_t ShiftedFactor::eliminate(std::vector<std::int32_t>& spot, std::int32_t count) {
    const std::size_t n = order_.size();
    diagonal_.clear();
    below_.clear();
    updates_.clear();
    below_end_.clear();
    update_end_.clear();
    for (std::size_t k = 0; k < n; ++k) {
        diagonal_.push_back(spot[k * n + k]);
        for (std::size_t i = k + 1; i < n; ++i) {
            if (spot[i * n + k] < 0) continue;
            below_.push_back(spot[i * n + k]);
            for (std::size_t j = k + 1; j < n; ++j) {
                if (spot[k * n + j] < 0) continue;
                if (spot[i * n + j] < 0) spot[i * n + j] = count++;
                updates_.push_back({spot[i * n + j], spot[i * n + k], spot[k * n + j]});
            }
        }
        below_end_.push_back(static_cast<std::int32_t>(below_.size()));
        update_end_.push_back(static_cast<std::int32_t>(updates_.size()));
    }
    lower_.clear();
    upper_.clear();
    for (std::size_t i = 0; i < n; ++i) {
        for (std::size_t k = 0; k < i; ++k)
            if (spot[i * n + k] >= 0) lower_.add(spot[i * n + k], order_[k]);
        lower_.end_row();
    }
    for (std::size_t i = n; i-- > 0;) {
        for (std::size_t k = n; --k > i;)
            if (spot[i * n + k] >= 0) upper_.add(spot[i * n + k], order_[k]);
        upper_.end_row();
    }
    return count;
}

void ShiftedFactor::analyse(const SparseMatrix& a) {
    size_ = a.size();
    analysed_ = a.entries();
    // Who is depended on stands in the factor, the others follow.
    std::vector<char> depended(size_, 0);
    for (std::size_t e = 0; e < a.entries(); ++e)
        if (a.row(e) != a.column(e)) depended[index(a.column(e))] = 1;
    std::vector<std::int32_t> inside(size_, -1), unknowns;
    followers_.clear();
    follower_of_.assign(size_, -1);
    for (std::size_t i = 0; i < size_; ++i) {
        if (depended[i]) {
            inside[i] = static_cast<std::int32_t>(unknowns.size());
            unknowns.push_back(static_cast<std::int32_t>(i));
        } else {
            follower_of_[i] = static_cast<std::int32_t>(followers_.size());
            followers_.push_back(static_cast<std::int32_t>(i));
        }
    }
    const std::size_t n = unknowns.size();
    std::vector<std::int32_t> first, second;
    for (std::size_t e = 0; e < a.entries(); ++e) {
        const std::int32_t i = inside[index(a.row(e))], j = inside[index(a.column(e))];
        if (i >= 0 && j >= 0 && i != j) {
            first.push_back(i);
            second.push_back(j);
        }
    }
    const std::vector<std::int32_t> place =
        n > 0 ? sparse_order(static_cast<std::int32_t>(n), first, second)
              : std::vector<std::int32_t>{};
    order_.assign(n, 0);
    for (std::size_t i = 0; i < n; ++i) order_[index(place[i])] = unknowns[i];

    std::vector<std::int32_t> spot(n * n, -1);  // place in value_ of each row and column
    std::int32_t count = 0;
    const auto mark = [&](std::size_t i, std::size_t j) {
        if (spot[i * n + j] < 0) spot[i * n + j] = count++;
    };
    for (std::size_t i = 0; i < n; ++i) mark(i, i);
    for (std::size_t k = 0; k < first.size(); ++k)
        mark(index(place[index(first[k])]), index(place[index(second[k])]));
    count = eliminate(spot, count);
    value_.assign(index(count), 0.0);
    inverse_.assign(n, 0.0);
    follower_.assign(followers_.size(), 1.0);
    from_.assign(a.entries(), -1);
    tail_of_.assign(a.entries(), -1);
    tails_.clear();
    for (std::size_t e = 0; e < a.entries(); ++e) {
        const std::int32_t i = inside[index(a.row(e))], j = inside[index(a.column(e))];
        if (i >= 0) {
            from_[e] = spot[index(place[index(i)]) * n + index(place[index(j)])];
        } else if (a.row(e) != a.column(e)) {
            tail_of_[e] = static_cast<std::int32_t>(tails_.size());
            tails_.push_back({a.row(e), a.column(e), 0});
        }
    }
}

bool ShiftedFactor::factor(const SparseMatrix& a, double c) {
    if (a.size() != size_ || a.entries() != analysed_) analyse(a);
    std::fill(value_.begin(), value_.end(), 0.0);
    for (const std::int32_t d : diagonal_) value_[index(d)] = 1;
    std::fill(follower_.begin(), follower_.end(), 1.0);
    for (std::size_t e = 0; e < analysed_; ++e) {
        const double shifted = c * a.value(e);
        if (from_[e] >= 0)
            value_[index(from_[e])] -= shifted;
        else if (tail_of_[e] >= 0)
            tails_[index(tail_of_[e])].value = shifted;
        else
            follower_[index(follower_of_[index(a.row(e))])] -= shifted;
    }
    std::int32_t b = 0, u = 0;
    bool good = true;
    for (std::size_t k = 0; k < diagonal_.size(); ++k) {
        const double inverse = 1 / value_[index(diagonal_[k])];
        good = good && std::isfinite(inverse);
        inverse_[k] = inverse;
        for (; b < below_end_[k]; ++b) value_[index(below_[index(b)])] *= inverse;
        for (; u < update_end_[k]; ++u) {
            const Update& update = updates_[index(u)];
            value_[index(update.target)] -=
                value_[index(update.left)] * value_[index(update.right)];
        }
    }
    lower_.take(value_);
    upper_.take(value_);
    for (double& d : follower_) {
        d = 1 / d;
        good = good && std::isfinite(d);
    }
    return good;
}

void ShiftedFactor::solve(double* x) const {
    const std::size_t n = order_.size();
    std::int32_t e = 0;
    for (std::size_t i = 0; i < n; ++i) {
        double sum = x[order_[i]];
        for (; e < lower_.end[i]; ++e) sum -= lower_.value[index(e)] * x[lower_.unknown[index(e)]];
        x[order_[i]] = sum;
    }
    e = 0;
    for (std::size_t i = 0; i < n; ++i) {
        const std::size_t k = n - 1 - i;
        double sum = x[order_[k]];
        for (; e < upper_.end[i]; ++e) sum -= upper_.value[index(e)] * x[upper_.unknown[index(e)]];
        x[order_[k]] = sum * inverse_[k];
    }
    for (const Tail& tail : tails_) x[tail.row] += tail.value * x[tail.column];
    for (std::size_t i = 0; i < followers_.size(); ++i) x[followers_[i]] *= follower_[i];
}

}  // namespace lapheat::solve
