// What to buy: sizes, searches and sweeps. Answers of size and search come as JSON, which the
// package makes into objects.
#include <algorithm>
#include <memory>

#include <nlohmann/json.hpp>

#include "lapheat/results/json.hpp"
#include "lapheat/scenario/handle.hpp"
#include "lapheat/scenario/parts_list.hpp"
#include "lapheat/study/search.hpp"
#include "lapheat/study/size.hpp"
#include "lapheat/study/sweep.hpp"
#include "listener.hpp"
#include "module.hpp"
#include "scenario.hpp"

namespace lapheat::python {
namespace {

using Cycles = std::vector<std::shared_ptr<drive::Cycle>>;
using Axes = std::vector<std::pair<std::string, std::vector<double>>>;

/// The scenario with other cycles, if any are given.
scenario::Scenario with_cycles(const Scenario& s, const Cycles& cycles) {
    scenario::Scenario out = s.parsed;
    if (cycles.empty()) return out;
    out.cycles.clear();
    for (const auto& cycle : cycles) out.cycles.push_back(*cycle);
    return out;
}

std::string text_of(results::Json report, const std::vector<std::string>& words) {
    report["words"] = words;
    return results::to_text(report);
}

void take(double target, const std::vector<std::string>& fluids, std::size_t draws, double share,
          int series, int threads, study::HoldingOptions& o) {
    o.target = target;
    o.fluids = fluids;
    o.draws = draws;
    o.share = share;
    o.series = static_cast<std::uint64_t>(series);
    o.threads = threads;
}

std::string size(const Scenario& s, const std::string& of, const Cycles& cycles,
                 std::optional<double> low, std::optional<double> high, double target,
                 const std::vector<std::string>& fluids, std::size_t draws, double share,
                 int series, int threads, const py::object& progress) {
    study::SizeOptions o;
    o.low = low;
    o.high = high;
    take(target, fluids, draws, share, series, threads, o);
    return listening(progress, [&](Listener& listener) {
        o.progress = [&listener](double done) { listener(done); };
        o.cancel = &listener.cancel;
        const scenario::Scenario car = with_cycles(s, cycles);
        const study::Size found = study::size(car, scenario::handle(car, of), o);
        return text_of(study::size_json(found), study::size_words(found, units::System::si));
    });
}

std::string search(const std::vector<std::shared_ptr<Scenario>>& placements,
                   const std::vector<std::pair<std::string, std::filesystem::path>>& parts,
                   const Cycles& cycles, double budget, double current,
                   const std::vector<double>& room, double target,
                   const std::vector<std::string>& fluids, std::size_t draws, double share,
                   int series, int threads, bool every_one, const py::object& progress) {
    study::SearchOptions o;
    o.budget = budget;
    o.current = current;
    if (room.size() == 3) o.rooms.push_back({{}, {room[0], room[1], room[2]}});
    take(target, fluids, draws, share, series, threads, o);
    o.every_one = every_one;
    return listening(progress, [&](Listener& listener) {
        o.progress = [&listener](double done) { listener(done); };
        o.cancel = &listener.cancel;
        std::vector<scenario::Scenario> cars;
        for (const auto& s : placements) cars.push_back(with_cycles(*s, cycles));
        scenario::Problems problems;
        for (const auto& [part, file] : parts) {
            const auto has =
                std::find_if(cars.begin(), cars.end(), [&, name = part](const auto& s) {
                    try {
                        return !scenario::tables_of_part(s, name).empty();
                    } catch (const Error&) {
                        return false;
                    }
                });
            o.lists.push_back(scenario::read_parts_list(
                file, part, has == cars.end() ? cars.front() : *has, problems));
        }
        problems.throw_if_any();
        const study::Search found = study::search(cars, o);
        return text_of(study::search_json(found), study::search_words(found, units::System::si));
    });
}

std::vector<study::SweepAxis> axes_of(const scenario::Scenario& car, const Axes& vary) {
    std::vector<study::SweepAxis> out;
    for (const auto& [what, values] : vary) out.push_back(study::sweep_axis(car, what, values));
    return out;
}

/// A sweep's file with the car it holds on to.
struct HeldSweep {
    std::unique_ptr<scenario::Scenario> car;
    std::unique_ptr<Listener> listener = std::make_unique<Listener>();
    std::unique_ptr<study::SweepFile> file;
    std::size_t points = 0;
};

study::SweepOptions sweep_options(std::size_t points, int series, bool hottest, int threads) {
    study::SweepOptions o;
    o.points = points;
    o.series = static_cast<std::uint64_t>(series);
    o.hottest = hottest;
    o.threads = threads;
    return o;
}

std::unique_ptr<HeldSweep> open_sweep(const Scenario& s, const Cycles& cycles, const Axes& vary,
                                      const std::filesystem::path& file, std::size_t points,
                                      int series, bool hottest, int threads,
                                      const py::object& progress) {
    auto out = std::make_unique<HeldSweep>();
    out->car = std::make_unique<scenario::Scenario>(with_cycles(s, cycles));
    out->listener->progress = progress;
    study::SweepOptions o = sweep_options(points, series, hottest, threads);
    Listener& listener = *out->listener;
    o.progress = [&listener](double done, std::size_t of) {
        listener(done / static_cast<double>(of));
    };
    o.cancel = &listener.cancel;
    const auto axes = axes_of(*out->car, vary);
    out->points = study::sweep_size(axes, o);
    out->file = std::make_unique<study::SweepFile>(*out->car, axes, file, o);
    return out;
}

void run_here(HeldSweep& s) {
    {
        const py::gil_scoped_release release;
        (void)s.file->run();
    }
    if (s.listener->raised) throw py::error_already_set(*s.listener->raised);
}

void put(HeldSweep& s, std::size_t point, const std::vector<double>& numbers,
         const std::string& failed) {
    s.file->put(point, {numbers, failed});
}

py::dict finish(HeldSweep& s) {
    study::SweepDone done;
    {
        const py::gil_scoped_release release;
        done = s.file->finish();
    }
    using namespace py::literals;
    return py::dict("points"_a = done.points, "before"_a = done.before, "done"_a = done.done,
                    "failed"_a = done.failed, "runs"_a = done.runs, "whole"_a = !done.cancelled,
                    "first_failure"_a = done.first_failure, "seconds"_a = done.seconds);
}

/// Some points alone, on this thread: (point, numbers, failed) each.
std::vector<std::tuple<std::size_t, std::vector<double>, std::string>> sweep_points(
    const Scenario& s, const Cycles& cycles, const Axes& vary, std::size_t points, int series,
    bool hottest, const std::vector<std::size_t>& which) {
    const py::gil_scoped_release release;
    const scenario::Scenario car = with_cycles(s, cycles);
    const auto axes = axes_of(car, vary);
    const study::SweepOptions o = sweep_options(points, series, hottest, 1);
    const std::atomic<bool> stop{false};
    std::vector<std::tuple<std::size_t, std::vector<double>, std::string>> out;
    for (const std::size_t i : which) {
        study::SweepPoint point =
            study::sweep_point(car, axes, study::sweep_values(axes, o, i), o, stop);
        out.emplace_back(i, std::move(point.numbers), std::move(point.failed));
    }
    return out;
}

std::vector<double> values_of(const Scenario& s, const std::string& what,
                              const std::vector<std::string>& texts) {
    std::vector<double> out;
    for (const std::string& text : texts)
        out.push_back(study::parse_sweep_axis(s.parsed, what + " = " + text).values.front());
    return out;
}

}  // namespace

void bind_buy(py::module_& m) {
    using namespace py::literals;
    m.def("size", &size, "scenario"_a, "of"_a, py::kw_only(), "cycles"_a, "low"_a, "high"_a,
          "target"_a, "fluids"_a, "draws"_a, "share"_a, "series"_a, "threads"_a, "progress"_a,
          "The answer of a size as JSON, SI; see lapheat.size().");
    m.def("search", &search, "placements"_a, "parts"_a, py::kw_only(), "cycles"_a, "budget"_a,
          "current"_a, "room"_a, "target"_a, "fluids"_a, "draws"_a, "share"_a, "series"_a,
          "threads"_a, "every_one"_a, "progress"_a,
          "The answer of a search as JSON, SI; see lapheat.search().");
    m.def("sweep_points", &sweep_points, "scenario"_a, "cycles"_a, "vary"_a, "points"_a, "series"_a,
          "hottest"_a, "which"_a,
          "Some points of a sweep, on this thread: list of (point, numbers, failed).");
    m.def("sweep_values", &values_of, "scenario"_a, "what"_a, "texts"_a,
          "Quantities as text, \"300 mm\", to SI values of what is varied.");
    py::class_<HeldSweep>(m, "SweepFile", "A sweep's file as it grows; see lapheat.sweep().")
        .def(py::init(&open_sweep), "scenario"_a, "cycles"_a, "vary"_a, "file"_a, "points"_a,
             "series"_a, "hottest"_a, "threads"_a, "progress"_a)
        .def_property_readonly(
            "left", [](const HeldSweep& s) { return s.file->left(); }, "points still to do")
        .def_readonly("points", &HeldSweep::points, "how many there are")
        .def("put", &put, "point"_a, "numbers"_a, "failed"_a, "a point that was run elsewhere")
        .def("run", &run_here, "runs what is left, on this machine")
        .def("finish", &finish, "writes the file if all is there, and tells of it");
}

}  // namespace lapheat::python
