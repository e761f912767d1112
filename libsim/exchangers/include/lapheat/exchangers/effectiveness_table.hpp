// Effectiveness of one arrangement as a table, for those whose exact form is too slow to call in
// the inner loop (multi-pass with unmixed coupling).
//
// Tabulated is the ratio to counter-flow, which is 1 at NTU = 0 and smooth: Chebyshev polynomials
// in C* and in NTU / (NTU + 2) for NTU up to 20, cut into cells with polynomials of their own so
// that a call sums 64 terms, not 320; above, the ratio stays at its last value.
#pragma once

#include <memory>
#include <vector>

#include "lapheat/exchangers/arrangement.hpp"

namespace lapheat::exchangers {

struct EffectivenessCoefficients {
    /// [cell in NTU][cell in C*][power of C*][power of NTU], each cell's variables from -1 to 1
    std::vector<double> first_smaller, second_smaller;
    double error = 0;  ///< largest difference to the exact effectiveness between the nodes
};

struct EffectivenessTable {
    std::shared_ptr<const EffectivenessCoefficients> data;  ///< none: use the exact form
};

/// Whether the arrangement's exact form is too slow for the inner loop.
[[nodiscard]] bool is_slow(const ArrangementSpec& spec);

/// Makes the table; about 50 ms. Throws Error if its error exceeds 1e-6.
[[nodiscard]] EffectivenessTable make_effectiveness_table(const ArrangementSpec& spec);

/// Effectiveness from the table.
[[nodiscard]] double effectiveness(const EffectivenessTable& table, double ntu,
                                   double capacity_ratio, Smaller smaller) noexcept;

}  // namespace lapheat::exchangers
