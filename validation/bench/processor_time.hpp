// The processor's time of this process, which what else runs does not lengthen.
#pragma once

#include <ctime>

namespace lapheat {

/// s since the process began, of all its threads.
inline double processor_seconds() {
    timespec now{};
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
    return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

}  // namespace lapheat
