#include "module.hpp"

PYBIND11_MODULE(_native, m) {
    m.doc() = "The compiled half of lapheat; use the package lapheat.";
    m.attr("__version__") = LAPHEAT_VERSION;
    using namespace lapheat::python;
    bind_errors(m);
    bind_units(m);
    bind_drive(m);
    bind_scenario(m);
    bind_laps(m);
    bind_result(m);
    bind_run(m);
    bind_compare(m);
    bind_parts(m);
    bind_fit(m);
    bind_buy(m);
    bind_log(m);
    give_signatures(m);
}
