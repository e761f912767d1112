#include "lapheat/exchangers/effectiveness_table.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <lapheat/units/error.hpp>
#include <numbers>

namespace lapheat::exchangers {
namespace {

constexpr ArrangementSpec counter_flow{Arrangement::counter};
constexpr double largest = 20;                   // NTU
constexpr double end = largest / (largest + 2);  // of NTU / (NTU + 2)
constexpr std::size_t ntu_terms = 20, ratio_terms = 16;

double to_ntu(double t) { return 2 * t / (1 - t); }

/// Chebyshev polynomials T_0 … at x in -1…1.
template <std::size_t terms>
std::array<double, terms> polynomials(double x) {
    std::array<double, terms> t{1, x};
    for (std::size_t k = 2; k < terms; ++k) t[k] = 2 * x * t[k - 1] - t[k - 2];
    return t;
}

/// The double sum, `c` with the terms in NTU fastest: those are summed beside each other, which is
/// three times as quick as one recurrence after the other.
double evaluate(const std::vector<double>& c, double ntu, double ratio) {
    const double t = std::min(ntu / (ntu + 2), end) / end * 2 - 1;
    const auto in_ratio = polynomials<ratio_terms>(2 * ratio - 1);
    const auto in_ntu = polynomials<ntu_terms>(t);
    std::array<double, ntu_terms> sum{};
    for (std::size_t l = 0; l < ratio_terms; ++l)
        for (std::size_t k = 0; k < ntu_terms; ++k) sum[k] += c[l * ntu_terms + k] * in_ratio[l];
    double all = 0;
    for (std::size_t k = 0; k < ntu_terms; ++k) all += sum[k] * in_ntu[k];
    return all;
}

double ratio_to_counter(const ArrangementSpec& spec, double ntu, double c, Smaller smaller) {
    return effectiveness(spec, ntu, c, smaller) / effectiveness(counter_flow, ntu, c);
}

std::vector<double> fit(const ArrangementSpec& spec, Smaller smaller) {
    std::vector<double> nodes(ntu_terms * ratio_terms), c(nodes.size());
    const auto angle = [](std::size_t i, std::size_t n) {
        return std::numbers::pi * (static_cast<double>(i) + 0.5) / static_cast<double>(n);
    };
    for (std::size_t i = 0; i < ntu_terms; ++i) {
        const double t = 0.5 * (std::cos(angle(i, ntu_terms)) + 1) * end;
        for (std::size_t j = 0; j < ratio_terms; ++j) {
            const double r = 0.5 * (std::cos(angle(j, ratio_terms)) + 1);
            nodes[i * ratio_terms + j] = ratio_to_counter(spec, to_ntu(t), r, smaller);
        }
    }
    for (std::size_t k = 0; k < ntu_terms; ++k) {
        for (std::size_t l = 0; l < ratio_terms; ++l) {
            double sum = 0;
            for (std::size_t i = 0; i < ntu_terms; ++i) {
                for (std::size_t j = 0; j < ratio_terms; ++j) {
                    sum += nodes[i * ratio_terms + j] *
                           std::cos(static_cast<double>(k) * angle(i, ntu_terms)) *
                           std::cos(static_cast<double>(l) * angle(j, ratio_terms));
                }
            }
            c[l * ntu_terms + k] = sum * (k ? 2.0 : 1.0) * (l ? 2.0 : 1.0) /
                                   static_cast<double>(ntu_terms * ratio_terms);
        }
    }
    return c;
}

}  // namespace

bool is_slow(const ArrangementSpec& s) {
    return (s.kind == Arrangement::cross_counter || s.kind == Arrangement::cross_parallel) &&
           s.coupling != Coupling::mixed && s.count > 1;
}

EffectivenessTable make_effectiveness_table(const ArrangementSpec& spec) {
    check(spec);
    auto data = std::make_shared<EffectivenessCoefficients>();
    data->ntu_terms = static_cast<int>(ntu_terms);
    data->ratio_terms = static_cast<int>(ratio_terms);
    data->first_smaller = fit(spec, Smaller::first);
    data->second_smaller = spec.pass == Arrangement::cross_unmixed
                               ? data->first_smaller  // the two streams are alike
                               : fit(spec, Smaller::second);
    const EffectivenessTable table{data};
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
    const double ratio =
        evaluate(smaller == Smaller::first ? table.data->first_smaller : table.data->second_smaller,
                 std::min(ntu, 1e15), capacity_ratio);
    return std::min(ratio, 1.0) * effectiveness(counter_flow, ntu, capacity_ratio);
}

}  // namespace lapheat::exchangers
