// The right-hand side behind a C interface, for validation/model/reference.py.
#include "reference.hpp"

#include <cstdio>
#include <exception>

using lapheat::validation::Problem;

extern "C" {

/// The problem, or null after a message on stderr. To be given back to `lapheat_free`.
Problem* lapheat_create(const char* placement, const char* cycle, double seconds, int warm) {
    try {
        return new Problem(placement, cycle, seconds, warm != 0);
    } catch (const std::exception& e) {
        std::fprintf(stderr, "%s\n", e.what());
        return nullptr;
    }
}

void lapheat_free(Problem* p) { delete p; }

int lapheat_size(const Problem* p) { return static_cast<int>(p->dynamics->size()); }
int lapheat_events(const Problem* p) { return static_cast<int>(p->dynamics->event_count()); }
int lapheat_knots(const Problem* p) { return static_cast<int>(p->forcing.time.size()); }
double lapheat_knot(const Problem* p, int k) {
    return p->forcing.time[static_cast<std::size_t>(k)];
}

/// How much more each state may err than a fluid's temperature; infinite for sums.
void lapheat_slack(const Problem* p, double* slack) {
    for (const lapheat::model::Block& block : p->compiled->layout.blocks())
        std::fill_n(slack + block.first, block.count, block.slack);
}
void lapheat_start(const Problem* p, double* y) { std::copy(p->first.begin(), p->first.end(), y); }
void lapheat_enter(Problem* p, int k) { p->dynamics->enter_interval(static_cast<std::size_t>(k)); }
void lapheat_rhs(Problem* p, double t, const double* y, double* dydt) {
    p->dynamics->rhs(t, y, dydt);
}
void lapheat_event_values(const Problem* p, double t, const double* y, double* g) {
    p->dynamics->events(t, y, g);
}

/// +1: an event where its function rises through zero; 0: where it passes zero.
int lapheat_event_direction(const Problem* p, int i) {
    return p->dynamics->event_direction(static_cast<std::size_t>(i)) ==
                   lapheat::solve::Crossing::rising
               ? 1
               : 0;
}
void lapheat_handle(Problem* p, int i, double t, double* y) {
    p->dynamics->handle(static_cast<std::size_t>(i), t, y);
}
}
