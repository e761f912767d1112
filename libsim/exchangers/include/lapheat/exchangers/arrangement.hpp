// How two streams pass each other: effectiveness from NTU, NTU from effectiveness.
//
// Everything is counted for the stream with the smaller capacity rate C = m cp (W/K):
//     NTU = UA / C_min,   C* = C_min / C_max,   heat = effectiveness C_min (T_first,in -
//     T_second,in)
// Arrangements that treat the two streams differently also need to know which one is smaller.
// Each formula is written in a form that stays smooth to rounding at C* = 0, C* = 1 and NTU = 0;
// its derivatives are exact (forward mode), not differences.
// Sources: Kays & London, Compact Heat Exchangers, ch. 2; Shah & Sekulić, Fundamentals of Heat
// Exchanger Design, Tables 3.3, 3.4 and 3.6; VDI Heat Atlas C1.
#pragma once

namespace lapheat::exchangers {

enum class Arrangement {
    counter,
    parallel,            ///< both streams the same way
    cross_unmixed,       ///< neither stream mixes across its flow; exact (Mason 1954)
    cross_first_mixed,   ///< the first stream mixes, the second does not (one row of tubes)
    cross_second_mixed,  ///< the other way round
    cross_mixed,         ///< both mix
    cross_rows,          ///< `count` rows of tubes (1 to 4) fed in parallel: first stream mixed in
                         ///< each tube, second (over the tubes) unmixed
    shell_and_tube,      ///< `count` shells in series, two tube passes (or 4, 6…) in each, shell
                         ///< mixed: 1-2 for count 1, n-2n above
    cross_counter,       ///< `count` cross-flow passes, overall counter-flow
    cross_parallel,      ///< the same, overall parallel flow
};

/// What happens to the streams between the passes of cross_counter and cross_parallel.
enum class PassCoupling {
    mixed,              ///< both streams mix in headers or plenums
    unmixed_identical,  ///< streams unmixed in the pass stay so, each thread keeps its order:
                        ///< every pass starts at the same side (return bends carry back outside)
    unmixed_inverted,   ///< the same with the order turned round: serpentine tubes, U-flow
};

struct ArrangementSpec {
    Arrangement kind = Arrangement::cross_unmixed;
    int count = 1;                                  ///< rows, shells or passes; 1 to 20
    PassCoupling coupling = PassCoupling::mixed;    ///< multi-pass only
    Arrangement pass = Arrangement::cross_unmixed;  ///< one pass of a multi-pass core: a cross_…
};

/// The stream whose capacity rate is the smaller one.
enum class Smaller { first, second };

/// Effectiveness (0 to 1) and its slopes.
struct Effectiveness {
    double value = 0;
    double by_ntu = 0;             ///< d(effectiveness) / d(NTU)
    double by_capacity_ratio = 0;  ///< d(effectiveness) / d(C*)
};

/// Throws Error when the spec cannot be: counts out of range, a pass that is not cross-flow.
void check(const ArrangementSpec& spec);

/// Effectiveness at ntu >= 0 (infinity allowed) and 0 <= capacity_ratio <= 1; values outside are
/// clamped, not-a-number gives not-a-number. Never throws on a checked spec, never allocates except
/// for unmixed coupling. Error below 1e-12.
///
/// Never exceeds counter-flow. Rises with NTU, but for both streams mixed (in one pass or in each)
/// and for overall parallel passes: there heat flows back once the temperatures have crossed.
/// Unmixed coupling: NTU above 60 in each pass counts as 60.
[[nodiscard]] double effectiveness(const ArrangementSpec& spec, double ntu, double capacity_ratio,
                                   Smaller smaller = Smaller::first);

/// The same with slopes.
[[nodiscard]] Effectiveness effectiveness_with_slopes(const ArrangementSpec& spec, double ntu,
                                                      double capacity_ratio,
                                                      Smaller smaller = Smaller::first);

/// NTU that gives this effectiveness, to 1e-12 of NTU or what rounding of the effectiveness allows;
/// the least one where two would do. Throws Error when no NTU reaches it.
[[nodiscard]] double ntu(const ArrangementSpec& spec, double effectiveness, double capacity_ratio,
                         Smaller smaller = Smaller::first);

/// Name for people, e.g. "cross-flow, both streams unmixed".
[[nodiscard]] const char* describe(Arrangement arrangement);

}  // namespace lapheat::exchangers
