// Counter-flow, which every other arrangement is measured against.
#pragma once

#include "dual.hpp"

namespace lapheat::exchangers {

/// Shah & Sekulić (3.83), with 1 - C* divided out.
template <class T>
T counter(T n, T c) {
    const T x = n * phi(n * (T(1) - c));
    return x / (T(1) + c * x);
}

}  // namespace lapheat::exchangers
