// What a long computation calls now and then: hears Ctrl-C and tells Python how far it is.
#pragma once

#include <atomic>
#include <optional>

#include "lapheat/units/error.hpp"
#include "module.hpp"

namespace lapheat::python {

/// Takes the GIL for a moment at every call. An exception, be it KeyboardInterrupt (heard on the
/// main thread only) or one of the `progress` function, is kept, and the computation cancelled.
struct Listener {
    py::object progress;
    std::atomic<bool> cancel{false};
    std::optional<py::error_already_set> raised;

    void operator()(double fraction) {
        const py::gil_scoped_acquire acquire;
        if (cancel) return;
        try {
            if (PyErr_CheckSignals() != 0) throw py::error_already_set();
            if (!progress.is_none()) progress(fraction);
        } catch (py::error_already_set& error) {
            raised.emplace(error);
            cancel = true;
        }
    }
};

/// Computes without the GIL and raises, in place of the Error of a cancelled computation, the
/// exception that cancelled it. `compute` takes the listener.
template <class Compute>
auto listening(const py::object& progress, Compute compute) {
    Listener listener{.progress = progress, .raised = {}};
    std::optional<decltype(compute(listener))> result;
    try {
        const py::gil_scoped_release release;
        result.emplace(compute(listener));
    } catch (const Error&) {
        if (!listener.raised) throw;
    }
    // Raised too when the computation was done just before it looked at `cancel`.
    if (listener.raised) throw py::error_already_set(*listener.raised);
    return std::move(*result);
}

}  // namespace lapheat::python
