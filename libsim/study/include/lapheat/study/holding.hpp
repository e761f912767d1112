// What is asked of a car that must hold: of sizes and of searches alike.
#pragma once

#include <atomic>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "lapheat/model/simulate.hpp"

namespace lapheat::study {

struct HoldingOptions {
    double target = 0;                ///< K of margin that is asked for
    std::vector<std::string> fluids;  ///< loops that must hold; empty: all
    std::size_t draws = 0;            ///< 0: the car as it stands
    double share = 0.9;               ///< of the draws that must reach the target
    std::uint64_t series = 1;         ///< of the draws
    int threads = 0;
    model::Options run;  ///< progress and cancel in it are not used
    std::function<void(double)> progress;
    const std::atomic<bool>* cancel = nullptr;  ///< set true: what is known is the answer
};

}  // namespace lapheat::study
