// The thermal chain solved by SUNDIALS CVODE (Hindmarsh et al., ACM TOMS 31, 2005, 363), as well as
// that library can be used here: knots as outputs, root finding for the relay, the method chosen
// by the caller.
#pragma once

#include <cvode/cvode.h>
#include <nvector/nvector_serial.h>
#include <sundials/sundials_context.h>
#include <sunlinsol/sunlinsol_dense.h>
#include <sunmatrix/sunmatrix_dense.h>
#include <sunnonlinsol/sunnonlinsol_fixedpoint.h>

#include <algorithm>
#include <stdexcept>
#include <vector>

#include "thermal_chain.hpp"

namespace lapheat::validation {

struct CvodeOptions {
    double relative = 1e-6, absolute = 1e-6;
    bool adams = false;          // Adams with fixed-point iteration, else BDF with a dense Newton
    bool stop_at_knots = false;  // land on every kink, else run free and interpolate
};

inline int cvode_rates(realtype t, N_Vector y, N_Vector d, void* data) {
    auto& chain = *static_cast<ThermalChain*>(data);
    // Free-running steps reach over knots: take the interval that t lies in.
    chain.k = std::min(static_cast<std::size_t>(std::max(t, 0.0)), chain.seconds - 1);
    chain.rates(chain.heat_at(t), N_VGetArrayPointer(y), N_VGetArrayPointer(d));
    return 0;
}

inline int cvode_roots(realtype t, N_Vector y, realtype* g, void* data) {
    static_cast<ThermalChain*>(data)->events(t, N_VGetArrayPointer(y), g);
    return 0;
}

/// Calls since the last start; CVodeReInit sets them back.
inline long calls_of(void* memory, const CvodeOptions& options) {
    long a = 0;
    long b = 0;
    CVodeGetNumRhsEvals(memory, &a);
    if (!options.adams) CVodeGetNumLinRhsEvals(memory, &b);
    return a + b;
}

inline std::vector<double> cvode_chain(ThermalChain& chain, const CvodeOptions& options,
                                       long* rhs_calls = nullptr) {
    const auto require = [](bool fine) {
        if (!fine) throw std::runtime_error("CVODE failed");
    };
    SUNContext context = nullptr;
    require(SUNContext_Create(nullptr, &context) == 0);
    constexpr auto n = static_cast<sunindextype>(ThermalChain::n);
    N_Vector y = N_VNew_Serial(n, context);
    const std::vector<double> first = ThermalChain::initial();
    std::copy(first.begin(), first.end(), N_VGetArrayPointer(y));
    void* memory = CVodeCreate(options.adams ? CV_ADAMS : CV_BDF, context);
    require(CVodeInit(memory, cvode_rates, 0, y) == 0);
    require(CVodeSStolerances(memory, options.relative, options.absolute) == 0);
    require(CVodeSetUserData(memory, &chain) == 0);
    require(CVodeSetMaxNumSteps(memory, 1000000) == 0);
    SUNMatrix matrix = nullptr;
    SUNLinearSolver linear = nullptr;
    SUNNonlinearSolver nonlinear = nullptr;
    if (options.adams) {
        nonlinear = SUNNonlinSol_FixedPoint(y, 0, context);
        require(CVodeSetNonlinearSolver(memory, nonlinear) == 0);
    } else {
        matrix = SUNDenseMatrix(n, n, context);
        linear = SUNLinSol_Dense(y, matrix, context);
        require(CVodeSetLinearSolver(memory, linear, matrix) == 0);
    }
    if (chain.relay) {
        require(CVodeRootInit(memory, 2, cvode_roots) == 0);
        int direction[2] = {1, -1};
        require(CVodeSetRootDirection(memory, direction) == 0);
    }
    std::vector<double> rows(first);
    rows.reserve(chain.knots.size() * ThermalChain::n);
    realtype t = 0;
    long calls = 0;
    for (std::size_t i = 1; i < chain.knots.size();) {
        if (options.stop_at_knots) require(CVodeSetStopTime(memory, chain.knots[i]) == 0);
        const int flag = CVode(memory, chain.knots[i], y, &t, CV_NORMAL);
        require(flag >= 0);
        if (flag == CV_ROOT_RETURN) {
            int found[2] = {0, 0};
            CVodeGetRootInfo(memory, found);
            calls += calls_of(memory, options);
            chain.handle(found[0] != 0 ? 0 : 1, t, nullptr);
            require(CVodeReInit(memory, t, y) == 0);
            continue;
        }
        const double* at = N_VGetArrayPointer(y);
        rows.insert(rows.end(), at, at + ThermalChain::n);
        ++i;
    }
    calls += calls_of(memory, options);
    if (rhs_calls) *rhs_calls = calls;
    CVodeFree(&memory);
    if (linear) SUNLinSolFree(linear);
    if (matrix) SUNMatDestroy(matrix);
    if (nonlinear) SUNNonlinSolFree(nonlinear);
    N_VDestroy(y);
    SUNContext_Free(&context);
    return rows;
}

}  // namespace lapheat::validation
