// The demo car's own right-hand side taken through a cycle by SUNDIALS CVODE (BDF, dense Newton;
// see validation/solve/cvode_chain.hpp) and by simulate(): milliseconds for each simulated hour,
// calls, and the worst temperature of all cells against steps of fifth order with nothing held.
// Knots are stops, switches and thermostats are roots, and after each CVODE starts anew, as it must
// where a right-hand side jumps. Its Newton matrix is found by differences, and once more taken
// from our slopes. One line for each tolerance: read where the errors are equal.
//
//   measure_cvode [PLACEMENT] [CYCLE]
#include <cvode/cvode.h>
#include <nvector/nvector_serial.h>
#include <sundials/sundials_context.h>
#include <sunlinsol/sunlinsol_dense.h>
#include <sunmatrix/sunmatrix_dense.h>

#include <chrono>
#include <cmath>
#include <cstdio>
#include <stdexcept>
#include <string>

#include "dynamics.hpp"
#include "lapheat/model/simulate.hpp"
#include "lapheat/scenario/scenario.hpp"
#include "settle.hpp"

using namespace lapheat;
using namespace lapheat::model;

namespace {

constexpr double sample_every = 1;  // s

int rates(realtype t, N_Vector y, N_Vector d, void* data) {
    static_cast<Dynamics*>(data)->rhs(t, N_VGetArrayPointer(y), N_VGetArrayPointer(d));
    return 0;
}

int roots(realtype t, N_Vector y, realtype* g, void* data) {
    static_cast<Dynamics*>(data)->events(t, N_VGetArrayPointer(y), g);
    return 0;
}

/// The Newton matrix from our slopes, which are those of the last call of the right-hand side.
int slopes(realtype t, N_Vector y, N_Vector, SUNMatrix jacobian, void* data, N_Vector scratch,
           N_Vector, N_Vector) {
    auto* dynamics = static_cast<Dynamics*>(data);
    dynamics->rhs(t, N_VGetArrayPointer(y), N_VGetArrayPointer(scratch));
    solve::SparseMatrix matrix(dynamics->size());
    dynamics->slopes(t, N_VGetArrayPointer(y), matrix);
    SUNMatZero(jacobian);
    for (std::size_t e = 0; e < matrix.entries(); ++e)
        SM_ELEMENT_D(jacobian, matrix.row(e), matrix.column(e)) = matrix.value(e);
    return 0;
}

void require(bool fine) {
    if (!fine) throw std::runtime_error("CVODE failed");
}

/// K of all cells at each sample, one after the other.
using Samples = std::vector<double>;

struct Spent {
    double seconds = 0;
    long calls = 0, steps = 0;
};

class Peer {
  public:
    enum class Newton { by_differences, by_our_slopes };

    Peer(const Model& model, const Forcing& forcing, const Start& start, double kelvin,
         Newton newton)
        : model_(model), forcing_(forcing), dynamics_(model, forcing), newton_(newton) {
        const auto n = static_cast<sunindextype>(dynamics_.size());
        require(SUNContext_Create(nullptr, &context_) == 0);
        y_ = N_VNew_Serial(n, context_);
        tolerance_ = N_VNew_Serial(n, context_);
        dynamics_.take_over(start.car, N_VGetArrayPointer(y_));
        for (const Block& block : model.layout.blocks())
            for (int i = block.first; i < block.end(); ++i)
                N_VGetArrayPointer(tolerance_)[i] =
                    std::isfinite(block.slack) ? block.slack * kelvin : 1e12;
        memory_ = CVodeCreate(CV_BDF, context_);
        t_ = forcing.time.front();
        require(CVodeInit(memory_, rates, t_, y_) == 0);
        require(CVodeSVtolerances(memory_, 0, tolerance_) == 0);
        require(CVodeSetUserData(memory_, &dynamics_) == 0);
        require(CVodeSetMaxNumSteps(memory_, 1000000) == 0);
        matrix_ = SUNDenseMatrix(n, n, context_);
        linear_ = SUNLinSol_Dense(y_, matrix_, context_);
        require(CVodeSetLinearSolver(memory_, linear_, matrix_) == 0);
        if (newton == Newton::by_our_slopes) require(CVodeSetJacFn(memory_, slopes) == 0);
        const auto events = static_cast<int>(dynamics_.event_count());
        require(CVodeRootInit(memory_, events, roots) == 0);
        std::vector<int> directions;
        for (std::size_t i = 0; i < dynamics_.event_count(); ++i)
            directions.push_back(dynamics_.event_direction(i) == solve::Crossing::rising ? 1 : 0);
        require(CVodeSetRootDirection(memory_, directions.data()) == 0);
        CVodeSetNoInactiveRootWarn(memory_);
    }
    ~Peer() {
        CVodeFree(&memory_);
        SUNLinSolFree(linear_);
        SUNMatDestroy(matrix_);
        N_VDestroy(tolerance_);
        N_VDestroy(y_);
        SUNContext_Free(&context_);
    }
    Peer(const Peer&) = delete;
    Peer& operator=(const Peer&) = delete;

    Samples drive(Spent& spent) {
        const auto began = std::chrono::steady_clock::now();
        Samples out;
        double next = forcing_.time.front();
        for (std::size_t k = 0; k + 1 < forcing_.time.size(); ++k) {
            dynamics_.enter_interval(k);
            again(spent);
            const double end = forcing_.time[k + 1];
            require(CVodeSetStopTime(memory_, end) == 0);
            while (t_ < end) {
                if (next <= t_) {
                    keep(out);
                    next += sample_every;
                    continue;
                }
                const int how = CVode(memory_, std::min(next, end), y_, &t_, CV_NORMAL);
                require(how >= 0);
                if (how == CV_ROOT_RETURN) act(spent);
            }
        }
        keep(out);
        count(spent);
        spent.seconds =
            std::chrono::duration<double>(std::chrono::steady_clock::now() - began).count();
        return out;
    }

  private:
    void act(Spent& spent) {
        std::vector<int> which(dynamics_.event_count());
        require(CVodeGetRootInfo(memory_, which.data()) == 0);
        for (std::size_t i = 0; i < which.size(); ++i)
            if (which[i] != 0) dynamics_.handle(i, t_, N_VGetArrayPointer(y_));
        again(spent);
    }
    void count(Spent& spent) {
        long calls = 0, by_difference = 0, matrices = 0, steps = 0;
        CVodeGetNumRhsEvals(memory_, &calls);
        CVodeGetNumLinRhsEvals(memory_, &by_difference);
        CVodeGetNumJacEvals(memory_, &matrices);
        CVodeGetNumSteps(memory_, &steps);
        spent.calls += calls + (newton_ == Newton::by_our_slopes ? matrices : by_difference);
        spent.steps += steps;
    }
    void again(Spent& spent) {
        count(spent);
        require(CVodeReInit(memory_, t_, y_) == 0);
    }
    void keep(Samples& out) const {
        for (std::size_t c = 0; c < model_.cells.size(); ++c)
            out.push_back(model_.cells[c].temperature(N_VGetArrayPointer(y_)[c]));
    }

    const Model& model_;
    const Forcing& forcing_;
    Dynamics dynamics_;
    const Newton newton_;
    SUNContext context_ = nullptr;
    N_Vector y_ = nullptr, tolerance_ = nullptr;
    SUNMatrix matrix_ = nullptr;
    SUNLinearSolver linear_ = nullptr;
    void* memory_ = nullptr;
    double t_ = 0;
};

/// The same of a run of ours.
Samples samples_of(const Model& model, const Result& run) {
    std::vector<const std::vector<double>*> cells;
    for (const Series& s : run.series)
        if (s.name == "temperature" && s.group.starts_with("loops/")) cells.push_back(&s.values);
    require(cells.size() == model.cells.size());
    Samples out;
    for (std::size_t i = 0; i < run.time.size(); ++i)
        for (const auto* values : cells) out.push_back((*values)[i]);
    return out;
}

double worst(const Samples& a, const Samples& b) {
    require(a.size() == b.size());
    double most = 0;
    for (std::size_t i = 0; i < a.size(); ++i) most = std::max(most, std::abs(a[i] - b[i]));
    return most;
}

}  // namespace

int main(int count, char** words) {
    const std::string scenarios = LAPHEAT_SOURCE_DIR "/scenarios";
    const std::string placement = count > 1 ? words[1] : "under_floor",
                      through = count > 2 ? words[2] : "traffic";
    const scenario::Scenario s = scenario::read(scenarios + "/placements/" + placement + ".toml",
                                                {scenarios + "/cycles/" + through + ".toml"});
    const auto model = compile(s.car);
    const drive::Cycle& cycle = s.cycles.front();
    const double hours = (cycle.time.back() - cycle.time.front()) / 3600;
    Options options;
    options.start = settled_start(*model, cycle, options);
    Forcing forcing = make_forcing(driven(*model), cycle);
    join_equal_rows(forcing);
    Options exact = options;
    exact.tolerance = 1e-8;
    const Samples reference = samples_of(*model, simulate(*model, cycle, exact));
    std::printf("%s, %s: worst cell and cost\n", placement.c_str(), through.c_str());
    for (const auto& [newton, name] : {std::pair{Peer::Newton::by_differences, "CVODE BDF"},
                                       {Peer::Newton::by_our_slopes, "with our slopes"}})
        for (const double kelvin : {2e-2, 2e-3, 2e-4}) {
            Spent spent;
            Peer peer(*model, forcing, *options.start, kelvin, newton);
            const double error = worst(peer.drive(spent), reference);
            std::printf("%-15s %.0e K: %8.4f K %9.1f ms/h %9.0f calls/h %7.0f steps/h\n", name,
                        kelvin, error, 1e3 * spent.seconds / hours,
                        static_cast<double>(spent.calls) / hours,
                        static_cast<double>(spent.steps) / hours);
        }
    for (const Stepping stepping : {Stepping::explicit_steps, Stepping::implicit_steps}) {
        options.stepping = stepping;
        double seconds = 1e9;
        Result run;
        for (int i = 0; i < 3; ++i) {
            const auto began = std::chrono::steady_clock::now();
            run = simulate(*model, cycle, options);
            seconds = std::min(
                seconds,
                std::chrono::duration<double>(std::chrono::steady_clock::now() - began).count());
        }
        std::printf("%-15s %.0e K: %8.4f K %9.1f ms/h %9.0f calls/h %7.0f steps/h\n",
                    stepping == Stepping::explicit_steps ? "ours explicit" : "ours as shipped",
                    options.tolerance, worst(samples_of(*model, run), reference),
                    1e3 * seconds / hours, static_cast<double>(run.cost.rhs_calls) / hours,
                    static_cast<double>(run.cost.steps) / hours);
    }
    return 0;
}
