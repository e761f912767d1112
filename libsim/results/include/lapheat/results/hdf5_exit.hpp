// How the HDF5 library leaves a program.
#pragma once

namespace lapheat::results {

/// The HDF5 library then does nothing when the program ends, which it does badly where it had
/// failed before. For programs that use it through this library alone (all their files are closed
/// by then), before they read or write the first.
void leave_hdf5_alone_at_exit() noexcept;

}  // namespace lapheat::results
