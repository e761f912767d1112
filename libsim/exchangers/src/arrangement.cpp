#include "lapheat/exchangers/arrangement.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <lapheat/units/error.hpp>
#include <stdexcept>
#include <string>

#include "counter_flow.hpp"
#include "cross_unmixed.hpp"
#include "dual.hpp"
#include "lapheat/solve/relation.hpp"
#include "passes.hpp"

namespace lapheat::exchangers {
namespace {

constexpr double largest_ntu = 1e15;  // stands for infinity: every limit is reached to rounding

/// Shah & Sekulić, Table 3.4: parallel flow.
template <class T>
T parallel(T n, T c) {
    return n * phi(n * (T(1) + c));
}

/// Kays & London (2-17): the smaller stream unmixed, the larger mixed.
template <class T>
T smaller_unmixed(T n, T c) {
    const T g = n * phi(n);
    return g * phi(c * g);
}

/// Kays & London (2-18): the smaller stream mixed, the larger unmixed.
template <class T>
T smaller_mixed(T n, T c) {
    const T x = n * phi(c * n);
    return x * phi(x);
}

/// Kays & London (2-19): both mixed.
template <class T>
T both_mixed(T n, T c) {
    return n / (T(1) / phi(n) + T(1) / phi(c * n) - T(1));
}

/// Shah & Sekulić, Table 3.4: TEMA E shell, two or any even number of tube passes.
template <class T>
T shell_1_2(T n, T c) {
    const T g = root(T(1) + c * c);
    const T x = n * phi(n * g);
    return T(2) * x / ((T(1) + c) * x + T(1) + exp_minus(n * g));
}

/// Rows of tubes fed in parallel, tube stream mixed in each tube, the other unmixed: VDI Heat
/// Atlas C1; ESDU 86018; Shah & Sekulić, Table 3.6. `k` times `ratio` is 1 -
/// exp(-NTU_unmixed/rows).
template <class T>
T row_sum(int rows, T k, T c, T whole) {
    // The polynomial behind exp(-rows K C), C times K² taken as c k² with whole = K.
    const T k2 = k * k, ck2 = c * k2;
    if (rows == 2) return ck2;
    if (rows == 3) return ck2 * (T(3) - whole + T(1.5) * ck2);
    if (rows == 4) {
        return ck2 * (T(6) - T(4) * whole + whole * whole +
                      ck2 * (T(8) - T(4) * whole + T(8. / 3) * ck2));
    }
    return T(0);
}

template <class T>
T tube_rows(int rows, T n, T c, Smaller smaller) {
    const T m(static_cast<double>(rows));
    if (smaller == Smaller::second) {
        const T k = n / m * phi(n / m);
        const T x = m * k * c;
        // The polynomial without its factor C*: divided out so that C* = 0 is safe.
        T s(0);
        const T k2 = k * k;
        if (rows == 2) s = k2;
        if (rows == 3) s = k2 * (T(3) - k + T(1.5) * c * k2);
        if (rows == 4) {
            s = k2 * (T(6) - T(4) * k + k2 + c * k2 * (T(8) - T(4) * k + T(8. / 3) * c * k2));
        }
        return m * k * phi(x) - exp_minus(x) * s;
    }
    const T k = n / m * phi(n * c / m);  // (1 - exp(-NTU C*/rows)) / C*
    const T x = m * k;
    return x * phi(x) - exp_minus(x) * row_sum(rows, k, c, c * k);
}

/// Equal units in series, overall counter-flow, mixed in between: Shah & Sekulić (3.131),
/// multiplied out so that C* = 1 and effectiveness 1 are safe.
template <class T>
T chain_counter(T one, T c, int units) {
    const T u = T(1) - one, v = T(1) - one * c;
    T sum(0), power(1);
    for (int k = 0; k < units; ++k) {
        sum = sum * u + power;  // sum of v^k u^(units-1-k)
        power = power * v;
    }
    T rest(1);
    for (int k = 0; k < units; ++k) rest = rest * u;
    return one * sum / (one * sum + rest);
}

/// The same, overall parallel flow: [1 - (1 - e (1 + C*))^units] / (1 + C*).
template <class T>
T chain_parallel(T one, T c, int units) {
    const T q = T(1) - one * (T(1) + c);
    T sum(0);
    for (int k = 0; k < units; ++k) sum = sum * q + T(1);
    return one * sum;
}

template <class T>
T single_pass(Arrangement kind, int rows, T n, T c, Smaller smaller) {
    switch (kind) {
        case Arrangement::counter:
            return counter(n, c);
        case Arrangement::parallel:
            return parallel(n, c);
        case Arrangement::cross_unmixed:
            return cross_unmixed(n, c);
        case Arrangement::cross_first_mixed:
            return smaller == Smaller::first ? smaller_mixed(n, c) : smaller_unmixed(n, c);
        case Arrangement::cross_second_mixed:
            return smaller == Smaller::second ? smaller_mixed(n, c) : smaller_unmixed(n, c);
        case Arrangement::cross_mixed:
            return both_mixed(n, c);
        case Arrangement::cross_rows:
            return tube_rows(rows, n, c, smaller);
        case Arrangement::shell_and_tube:
            return shell_1_2(n, c);
        case Arrangement::cross_counter:
        case Arrangement::cross_parallel:
            break;
    }
    throw std::logic_error("several passes are not one");
}

bool is_multi_pass(const ArrangementSpec& s) {
    return (s.kind == Arrangement::cross_counter || s.kind == Arrangement::cross_parallel);
}

template <class T>
T evaluate(const ArrangementSpec& s, T n, T c, Smaller smaller) {
    if (s.kind == Arrangement::shell_and_tube) {
        const T one = shell_1_2(n / T(s.count), c);
        return s.count == 1 ? one : chain_counter(one, c, s.count);
    }
    if (!is_multi_pass(s)) return single_pass(s.kind, s.count, n, c, smaller);
    if (s.coupling != PassCoupling::mixed && s.count > 1 && value_of(n) > 1e-9) {
        if (value_of(n) > pass_ntu_limit * s.count) n = T(pass_ntu_limit * s.count);
        return unmixed_passes(s, n, c, smaller);
    }
    const T one = single_pass(s.pass, 1, n / T(s.count), c, smaller);
    return s.kind == Arrangement::cross_counter ? chain_counter(one, c, s.count)
                                                : chain_parallel(one, c, s.count);
}

bool is_cross(Arrangement a) {
    return a == Arrangement::cross_unmixed || a == Arrangement::cross_first_mixed ||
           a == Arrangement::cross_second_mixed || a == Arrangement::cross_mixed;
}

}  // namespace

void check(const ArrangementSpec& s) {
    const int most = s.kind == Arrangement::cross_rows ? 4 : 20;
    if (s.count < 1 || s.count > most) {
        throw Error(fmt::format("a core of {} rows, shells or passes", s.count),
                    fmt::format("1 to {}", most));
    }
    if (!is_multi_pass(s)) return;
    if (!is_cross(s.pass)) {
        throw Error(std::string("one pass of a multi-pass core cannot be ") + describe(s.pass),
                    "a cross-flow pass");
    }
    if (s.coupling != PassCoupling::mixed && s.pass == Arrangement::cross_mixed) {
        throw Error("streams that mix inside the passes cannot stay unmixed between them",
                    "mixed coupling, or a pass with an unmixed stream");
    }
}

double effectiveness(const ArrangementSpec& spec, double ntu, double capacity_ratio,
                     Smaller smaller) {
    const double n = std::min(ntu < 0 ? 0.0 : ntu, largest_ntu);
    const double c = capacity_ratio < 0 ? 0.0 : (capacity_ratio > 1 ? 1.0 : capacity_ratio);
    return std::min(solve::perturbed(solve::Relation::effectiveness, evaluate(spec, n, c, smaller)),
                    1.0);  // rounding may pass 1 by 1e-16
}

Effectiveness effectiveness_with_slopes(const ArrangementSpec& spec, double ntu,
                                        double capacity_ratio, Smaller smaller) {
    const Dual n(std::clamp(ntu, 0.0, largest_ntu), 1, 0);
    const Dual c(std::clamp(capacity_ratio, 0.0, 1.0), 0, 1);
    const Dual e = evaluate(spec, n, c, smaller);
    return {e.v, e.n, e.c};
}

double ntu(const ArrangementSpec& spec, double e, double capacity_ratio, Smaller smaller) {
    check(spec);
    if (!(e >= 0 && e <= 1)) {
        throw Error("effectiveness " + fmt::format("{:.6g}", e) + " is impossible", "0 to 1");
    }
    if (e == 0) return 0;
    const double c = std::clamp(capacity_ratio, 0.0, 1.0);
    // No arrangement beats counter-flow, so its NTU is a lower bound; the effectiveness bends
    // down, so Newton's method climbs from there without passing the root. The upper bound guards
    // the rest.
    const double y = e * (1 - c) / (1 - e);
    double n = e < 1 ? (y > 1e-8 ? e / (1 - e) * std::log1p(y) / y : e / (1 - e)) : largest_ntu;
    double low = 0, high = largest_ntu;
    for (int i = 0; i < 400; ++i) {
        const Effectiveness now = effectiveness_with_slopes(spec, n, c, smaller);
        const double miss = e - now.value;
        (miss > 0 ? low : high) = n;
        if (std::abs(miss) < 1e-16) return n;
        if (miss > 0 && !(now.by_ntu > 0)) break;
        double next = n + miss / now.by_ntu;
        if (!(next > low && next < high)) {
            if (high >= largest_ntu) break;
            next = 0.5 * (low + high);
        }
        if (std::abs(next - n) <= 2e-15 * n) return next;
        n = next;
    }
    if (high < largest_ntu && high - low < 1e-10 * high) return 0.5 * (low + high);
    throw Error("no NTU gives an effectiveness of " + fmt::format("{:.6g}", e) + " in " +
                    describe(spec.kind) + " at a capacity ratio of " + fmt::format("{:.6g}", c),
                "a smaller effectiveness or an arrangement closer to counter-flow");
}

const char* describe(Arrangement a) {
    switch (a) {
        case Arrangement::counter:
            return "counter-flow";
        case Arrangement::parallel:
            return "parallel flow";
        case Arrangement::cross_unmixed:
            return "cross-flow, both streams unmixed";
        case Arrangement::cross_first_mixed:
            return "cross-flow, first stream mixed";
        case Arrangement::cross_second_mixed:
            return "cross-flow, second stream mixed";
        case Arrangement::cross_mixed:
            return "cross-flow, both streams mixed";
        case Arrangement::cross_rows:
            return "cross-flow over rows of tubes";
        case Arrangement::shell_and_tube:
            return "shell and tube";
        case Arrangement::cross_counter:
            return "cross-flow passes, overall counter-flow";
        case Arrangement::cross_parallel:
            return "cross-flow passes, overall parallel flow";
    }
    return "unknown";
}

}  // namespace lapheat::exchangers
