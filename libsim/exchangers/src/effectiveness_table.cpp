#include "lapheat/exchangers/effectiveness_table.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <lapheat/solve/matrix.hpp>
#include <lapheat/units/error.hpp>
#include <numbers>

#include "counter_flow.hpp"

namespace lapheat::exchangers {
namespace {

using solve::Matrix;

constexpr ArrangementSpec counter_flow{Arrangement::counter};
constexpr double largest = 20;                           // NTU
constexpr double end = largest / (largest + 2);          // of NTU / (NTU + 2)
constexpr std::size_t ntu_terms = 20, ratio_terms = 16;  // of the fit over the whole range
constexpr std::size_t ntu_cells = 8, ratio_cells = 4;    // into which it is cut
constexpr std::size_t cell_terms = 8;                    // of one cell, in either direction

double to_ntu(double t) { return 2 * t / (1 - t); }

/// 0…1 over the range of the table.
double from_ntu(double ntu) { return std::min(ntu / (ntu + 2), end) / end; }

/// Where 0…1 falls: the cell, and the place in it from -1 to 1.
struct CellPlace {
    std::size_t cell;
    double at;
};

CellPlace place(double t, std::size_t cells) {
    const double scaled = t * static_cast<double>(cells);
    // What is not a number stays so, in the first cell.
    const std::size_t cell = scaled > 0 ? std::min(static_cast<std::size_t>(scaled), cells - 1) : 0;
    return {cell, 2 * (scaled - static_cast<double>(cell)) - 1};
}

/// The polynomial of one cell: powers in C* summed side by side for each power in NTU.
double evaluate(const std::vector<double>& table, double ntu, double ratio) {
    const CellPlace n = place(from_ntu(ntu), ntu_cells), r = place(ratio, ratio_cells);
    const double* c = &table[(n.cell * ratio_cells + r.cell) * cell_terms * cell_terms];
    std::array<double, cell_terms> sum{};
    for (std::size_t l = cell_terms; l-- > 0;) {
        for (std::size_t k = 0; k < cell_terms; ++k) sum[k] = sum[k] * r.at + c[l * cell_terms + k];
    }
    const double x = n.at, x2 = x * x;
    const double low = (sum[0] + sum[1] * x) + (sum[2] + sum[3] * x) * x2;
    const double high = (sum[4] + sum[5] * x) + (sum[6] + sum[7] * x) * x2;
    return low + high * (x2 * x2);
}

double ratio_to_counter(const ArrangementSpec& spec, double ntu, double c, Smaller smaller) {
    return effectiveness(spec, ntu, c, smaller) / effectiveness(counter_flow, ntu, c);
}

template <class Entry>
Matrix filled(std::size_t rows, std::size_t columns, const Entry& entry) {
    Matrix out(rows, columns);
    for (std::size_t j = 0; j < columns; ++j)
        for (std::size_t i = 0; i < rows; ++i) out(i, j) = entry(i, j);
    return out;
}

/// Chebyshev coefficients over the whole range, one row for each order in C*.
Matrix fit(const ArrangementSpec& spec, Smaller smaller) {
    const auto angle = [](std::size_t i, std::size_t n) {
        return std::numbers::pi * (static_cast<double>(i) + 0.5) / static_cast<double>(n);
    };
    const auto transform = [&](std::size_t n) {  // values at the nodes to coefficients
        return filled(n, n, [&](std::size_t k, std::size_t i) {
            return (k ? 2.0 : 1.0) / static_cast<double>(n) *
                   std::cos(static_cast<double>(k) * angle(i, n));
        });
    };
    const Matrix nodes = filled(ratio_terms, ntu_terms, [&](std::size_t j, std::size_t i) {
        const double t = 0.5 * (std::cos(angle(i, ntu_terms)) + 1) * end;
        const double r = 0.5 * (std::cos(angle(j, ratio_terms)) + 1);
        return ratio_to_counter(spec, to_ntu(t), r, smaller);
    });
    return transform(ratio_terms) * nodes * transposed(transform(ntu_terms));
}

/// Cuts the fit into cells whose polynomials share their values on common edges: each goes
/// through the fit at Chebyshev points of the second kind, which include the ends.
std::vector<double> cut(const Matrix& whole) {
    const auto point = [](std::size_t i) {
        return -std::cos(std::numbers::pi * static_cast<double>(i) /
                         static_cast<double>(cell_terms - 1));
    };
    const Matrix to_powers =
        inverse(filled(cell_terms, cell_terms,
                       [&](std::size_t i, std::size_t k) { return std::pow(point(i), k); }));
    const auto polynomials = [&](std::size_t cell, std::size_t cells, std::size_t orders) {
        return filled(cell_terms, orders, [&](std::size_t i, std::size_t k) {
            const double t =
                (static_cast<double>(cell) + 0.5 * (point(i) + 1)) / static_cast<double>(cells);
            return std::cos(static_cast<double>(k) * std::acos(std::clamp(2 * t - 1, -1.0, 1.0)));
        });
    };
    std::vector<double> table;
    table.reserve(ntu_cells * ratio_cells * cell_terms * cell_terms);
    for (std::size_t n = 0; n < ntu_cells; ++n) {
        const Matrix strip = whole * transposed(polynomials(n, ntu_cells, whole.columns()));
        for (std::size_t r = 0; r < ratio_cells; ++r) {
            const Matrix values = polynomials(r, ratio_cells, whole.rows()) * strip;
            const Matrix c = to_powers * values * transposed(to_powers);
            for (std::size_t l = 0; l < cell_terms; ++l)
                for (std::size_t k = 0; k < cell_terms; ++k) table.push_back(c(l, k));
        }
    }
    return table;
}

}  // namespace

bool is_slow(const ArrangementSpec& s) {
    return (s.kind == Arrangement::cross_counter || s.kind == Arrangement::cross_parallel) &&
           s.coupling != PassCoupling::mixed && s.count > 1;
}

EffectivenessTable make_effectiveness_table(const ArrangementSpec& spec) {
    check(spec);
    auto data = std::make_shared<EffectivenessCoefficients>();
    data->first_smaller = cut(fit(spec, Smaller::first));
    data->second_smaller = spec.pass == Arrangement::cross_unmixed
                               ? data->first_smaller  // the two streams are alike
                               : cut(fit(spec, Smaller::second));
    EffectivenessTable table{data};
    for (const Smaller smaller : {Smaller::first, Smaller::second}) {
        for (const double n : {0.05, 0.3, 0.9, 2.2, 4.5, 9.0, 17.0}) {
            for (const double c : {0.0, 0.37, 0.71, 1.0}) {
                data->error = std::max(data->error, std::abs(effectiveness(table, n, c, smaller) -
                                                             effectiveness(spec, n, c, smaller)));
            }
        }
    }
    if (!(data->error < 1e-6)) {
        throw Error("the effectiveness of this many unmixed passes cannot be tabulated to 1e-6",
                    "fewer passes, or mixed coupling");
    }
    return table;
}

double effectiveness(const EffectivenessTable& table, double ntu, double capacity_ratio,
                     Smaller smaller) noexcept {
    const double n = std::clamp(ntu, 0.0, 1e15), c = std::clamp(capacity_ratio, 0.0, 1.0);
    const double ratio = evaluate(
        smaller == Smaller::first ? table.data->first_smaller : table.data->second_smaller, n, c);
    return std::min(ratio, 1.0) * counter(n, c);
}

}  // namespace lapheat::exchangers
