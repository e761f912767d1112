#include "lapheat/study/lever.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <variant>

#include "internal.hpp"
#include "lapheat/results/binding.hpp"
#include "lapheat/scenario/handle.hpp"
#include "lapheat/study/margin.hpp"
#include "lapheat/study/size.hpp"
#include "words.hpp"

namespace lapheat::study {
namespace {

using units::Quantity, units::System;

constexpr std::size_t most_placements = 3;  // that do not hold, the best of them
constexpr std::size_t samples = 3;
constexpr double worth_trying = 0.5;  // K, below it a lever is not told
constexpr double cooler_by = 20;      // K that a thermostat or a switch is lowered
constexpr double furthest = 3;        // times what stands there

/// Cores that the loop's fluid passes, by the names that a file has.
std::vector<std::string> cores_of(const model::Car& car, const std::string& loop) {
    std::vector<std::string> out;
    for (const model::Loop& l : car.loops)
        for (const model::Run& run : l.runs)
            for (const model::Part& part : run.parts)
                if (const auto* pass = std::get_if<model::CorePass>(&part.body);
                    pass != nullptr && l.name == loop) {
                    const std::string whole = model::whole_core(car.cores, pass->core);
                    if (!is_in(out, whole)) out.push_back(whole);
                }
    return out;
}

/// Fans that draw through one of the cores.
std::vector<std::string> fans_of(const model::Car& car, const std::vector<std::string>& cores) {
    std::vector<std::string> out;
    for (const model::AirPath& path : car.air) {
        const bool there =
            std::any_of(path.stack.begin(), path.stack.end(), [&](const model::StackItem& item) {
                return is_in(cores, model::whole_core(car.cores, item.core));
            });
        if (there)
            for (const model::Shroud& shroud : path.shrouds)
                for (const std::string& fan : shroud.fans)
                    if (!is_in(out, fan)) out.push_back(fan);
    }
    return out;
}

/// What may help that fluid, by the names that scenario::handle() takes.
std::vector<std::string> asked_of(const model::Car& car, const std::string& loop) {
    std::vector<std::string> out;
    const std::vector<std::string> cores = cores_of(car, loop);
    for (const std::string& core : cores) {
        out.push_back(core + " width");
        out.push_back(core + " depth");
    }
    const bool coolant = std::any_of(car.loops.begin(), car.loops.end(), [&](const auto& l) {
        return l.name == loop && l.role == model::LoopRole::coolant;
    });
    const std::vector<std::string> fans = fans_of(car, cores);
    // All fans of the radiator or of the cooler together, where they are these.
    if (!fans.empty()) out.emplace_back(coolant ? "radiator fan flow" : "cooler fan flow");
    if (!fans.empty() && !coolant) out.emplace_back("radiator fan flow");
    if (!cores.empty()) out.push_back(loop + " line bore");
    if (coolant) {
        out.emplace_back("thermostat");
        out.emplace_back("switch temperature");
    }
    return out;
}

/// One number moved towards what may help.
class Trial {
  public:
    Trial(const scenario::Scenario& s, const Lever& about, std::vector<std::string> fluids,
          const ParallelOptions& options)
        : scenario_(s), about_(about), fluids_(std::move(fluids)), options_(options) {}

    [[nodiscard]] std::optional<Lever> of(const std::string& what, double margin) const {
        try {
            const scenario::Handle handle = scenario::handle(scenario_, what);
            if (handle.numbers.empty() || handle.value == 0) return std::nullopt;
            SizeOptions o;
            const bool temperature = handle.quantity == Quantity::temperature;
            o.low = temperature ? handle.value - cooler_by : handle.value;
            o.high =
                temperature ? handle.value : std::min(furthest * handle.value, handle.range.high);
            o.low = std::max(*o.low, handle.range.low);
            o.samples = samples;
            o.aside = false;
            o.fluids = fluids_;
            o.threads = options_.threads;
            o.run = options_.run;
            o.cancel = options_.cancel;
            const Size found = size(scenario_, handle, o);
            if (found.answer == Size::Answer::stopped || std::isnan(found.margin))
                return std::nullopt;
            Lever out = about_;
            out.what = what;
            out.quantity = handle.quantity;
            out.stands = handle.value;
            out.to = found.value;
            out.holds = found.answer != Size::Answer::none_holds;
            out.gained = found.margin - margin;
            return out.holds || out.gained >= worth_trying ? std::optional(out) : std::nullopt;
        } catch (const Error& e) {
            if (e.code() == Code::cancelled) throw;
            return std::nullopt;  // the car has no such part
        }
    }

  private:
    const scenario::Scenario& scenario_;
    Lever about_;
    std::vector<std::string> fluids_;
    const ParallelOptions& options_;
};

/// The day on which that cycle holds.
std::optional<Lever> cooler_day(const Comparison& c, std::size_t p, std::size_t k, Lever out,
                                const Prepared& prepared, const ParallelOptions& options) {
    const CycleOutcome& o = c.at(p, k);
    HottestAmbient found;
    found.ambient = o.hottest_ambient;
    found.beyond_range = o.hottest_beyond;
    const drive::Cycle& cycle = *prepared.cycles[p][k];
    if (std::isnan(o.hottest_ambient)) try {
            found = hottest_ambient(*prepared.models[p], cycle, options.run, c.left_out,
                                    o.worst_margin);
        } catch (const Error& e) {
            if (e.code() == Code::cancelled) throw;
            return std::nullopt;  // a day on which the car cannot be driven tells nothing
        }
    out.what = "ambient";
    out.quantity = Quantity::temperature;
    out.stands = *std::max_element(cycle.ambient.begin(), cycle.ambient.end());
    out.to = found.ambient;
    out.holds = !found.beyond_range;
    out.gained = out.holds ? out.missing : 0;
    return out.holds ? std::optional(out) : std::nullopt;
}

/// By how much of itself it moves.
double effort(const Lever& l) {
    return l.quantity == Quantity::temperature ? std::abs(l.to - l.stands) / cooler_by
                                               : std::abs(std::log(l.to / l.stands));
}

}  // namespace

std::vector<Lever> levers(const Comparison& c, const Prepared& prepared,
                          const std::vector<scenario::Scenario>& placements,
                          const ParallelOptions& options) {
    std::vector<Lever> out;
    std::size_t tried = 0;
    for (const Ranked& r : c.ranking) {
        if (r.holds || c.faults || tried++ == most_placements) continue;
        const std::size_t p = c.index_of(r.placement);
        Lever about;
        about.placement = r.placement;
        about.loop = r.harmed.empty() ? r.worst_loop : r.harmed;
        std::size_t worst = 0;
        double margin = std::numeric_limits<double>::infinity();
        for (std::size_t k = 0; k < c.cycles.size(); ++k)
            if (const auto* v = results::verdict_of(c.at(p, k).result, about.loop);
                v != nullptr && v->margin < margin)
                margin = v->margin, worst = k;
        if (!(margin < 0)) continue;
        about.cycle = c.cycles[worst];
        about.missing = -margin;
        about.cored = !cores_of(c.cars[p], about.loop).empty();
        std::vector<std::string> fluids = c.served;
        if (!is_in(fluids, about.loop)) fluids.push_back(about.loop);
        const Trial trial(placements[p], about, fluids, options);
        std::vector<Lever> found;
        for (const std::string& what : asked_of(c.cars[p], about.loop))
            if (const auto lever = trial.of(what, margin)) found.push_back(*lever);
        std::stable_sort(found.begin(), found.end(), [](const Lever& a, const Lever& b) {
            if (a.holds != b.holds) return a.holds;
            return a.holds ? effort(a) < effort(b) : a.gained > b.gained;
        });
        if (const auto day = cooler_day(c, p, worst, about, prepared, options))
            found.push_back(*day);
        if (found.empty()) found.push_back(about);  // what is missing is told all the same
        out.insert(out.end(), found.begin(), found.end());
    }
    return out;
}

std::string lever_words(const Lever& l, System system) {
    if (l.what.empty()) return "No number that was tried makes it hold";
    if (l.what == "ambient")
        return fmt::format("A day no hotter than {} in place of {} makes {} hold",
                           say(l.to, Quantity::temperature, system),
                           say(l.stands, Quantity::temperature, system), l.cycle);
    const std::string from = results::figure(l.stands, l.quantity, system),
                      to = results::figure(l.to, l.quantity, system);
    return l.holds
               ? fmt::format("{} {} in place of {} makes it hold", sentence_case(l.what), to, from)
               : fmt::format("{} {} in place of {} gains {} of the {} that are missing",
                             sentence_case(l.what), to, from, say_kelvins(l.gained, system),
                             say_kelvins(l.missing, system));
}

std::string missing_words(const Lever& l, System system) {
    return fmt::format("{} is {} over its limit in {}{}", sentence_case(plain_name(l.loop)),
                       say_kelvins(l.missing, system), l.cycle,
                       l.cored ? "" : "; no core cools it, so a core of its own is what it lacks");
}

}  // namespace lapheat::study
