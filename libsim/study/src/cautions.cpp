// What a builder should be told beside the numbers: each thing once, the worst harm first.
#include <fmt/core.h>

#include <algorithm>

#include "internal.hpp"
#include "lapheat/airflow/place.hpp"
#include "lapheat/study/wiring.hpp"
#include "lapheat/units/restate.hpp"
#include "words.hpp"

namespace lapheat::study {
namespace {

using units::Quantity;

constexpr const char* safety = "Safety";
constexpr const char* place = "The places";
constexpr const char* feeds = "Wiring, as guidance";
constexpr const char* plumbing = "Lines, pumps and fluids, the worst of the runs";
constexpr const char* queueing = "Margin by the way of waiting";
constexpr const char* trust = "How sure the numbers are";

std::string join(const std::vector<std::string>& parts, const char* between = ", ") {
    std::string out;
    for (const std::string& part : parts) out += (out.empty() ? "" : between) + part;
    return out;
}

void add_once(std::vector<std::string>& list, const std::string& text) {
    if (!is_in(list, text)) list.push_back(text);
}

std::string in_all(const std::vector<std::string>& names, std::size_t placements) {
    return names.size() == placements && placements > 1 ? "all placements" : join(names);
}

/// Texts with the names of those they hold for, in the order first met.
class Gathered {
  public:
    void add(const std::string& text, const std::string& who) {
        for (auto& [said, names] : texts_)
            if (said == text) return add_once(names, who);
        texts_.push_back({text, {who}});
    }
    [[nodiscard]] const std::vector<std::pair<std::string, std::vector<std::string>>>& all() const {
        return texts_;
    }

  private:
    std::vector<std::pair<std::string, std::vector<std::string>>> texts_;
};

/// A path of air is the choice of a place if a core in it cools something but coolant.
bool chosen(const model::Car& car, const model::AirPath& path) {
    for (const model::Loop& loop : car.loops) {
        if (loop.role == model::LoopRole::coolant) continue;
        for (const model::Run& run : loop.runs)
            for (const model::Part& part : run.parts)
                if (const auto* pass = std::get_if<model::CorePass>(&part.body))
                    for (const model::StackItem& item : path.stack)
                        if (item.core == pass->core) return true;
    }
    return false;
}

bool has_tank_core(const model::Car& car) {
    for (const model::Loop& loop : car.loops)
        for (const model::Run& run : loop.runs)
            for (const model::Part& part : run.parts)
                if (const auto* pass = std::get_if<model::CorePass>(&part.body))
                    if (pass->second_side) return true;
    return false;
}

bool is_first(const Comparison& c, const std::string& placement) {
    return !c.ranking.empty() && c.ranking.front().placement == placement;
}

void say_places(const Comparison& c, units::System system, std::vector<Caution>& out) {
    for (std::size_t p = 0; p < c.cars.size(); ++p) {
        std::vector<std::string> warnings;
        for (const model::AirPath& path : c.cars[p].air)
            if (chosen(c.cars[p], path))
                for (const std::string& w : path.assumptions.warnings)
                    add_once(warnings, units::restated(w, system));
        if (has_tank_core(c.cars[p]))
            for (const std::string& w : airflow::defaults(airflow::Place::in_tank).warnings)
                add_once(warnings, units::restated(w, system));
        if (!warnings.empty())
            out.push_back({place,
                           sentence_case(c.placements[p]) + ": " + join(warnings, "; ") + ".",
                           is_first(c, c.placements[p])});
    }
}

void say_wiring(const Comparison& c, units::System system, std::vector<Caution>& out) {
    Gathered fans, where;
    for (std::size_t p = 0; p < c.cars.size(); ++p)
        for (const FanFeed& feed : fan_feeds(c.cars[p])) {
            const std::string text = feed_words(feed, system);
            fans.add(text, plain_name(feed.fan));
            where.add(text, c.placements[p]);
        }
    if (fans.all().empty()) return;
    for (std::size_t i = 0; i < fans.all().size(); ++i) {
        const auto& [text, names] = fans.all()[i];
        const auto& places = where.all()[i].second;
        out.push_back(
            {feeds,
             "The fan" + std::string(names.size() > 1 ? "s " : " ") + join(names, " and ") +
                 (places.size() == c.placements.size() ? ", " : " (" + join(places) + "), ") +
                 (names.size() > 1 ? "each " : "") + text + "."});
    }
    Gathered sums;
    for (const Ranked& r : c.ranking) {
        if (r.peak_current <= 0) continue;
        const auto amperes = [&](double x) { return say(x, Quantity::electric_current, system); };
        std::string text = "fans take up to " + amperes(r.peak_fan_current) +
                           ", with all other loads " + amperes(r.peak_current) +
                           "; the alternator gives " + amperes(r.idle_capacity) + " at idle";
        if (r.current_shortfall > 0)
            text += ", at worst " + amperes(r.current_shortfall) +
                    " too little: the battery gives the rest";
        sums.add(text, r.placement);
    }
    for (const auto& [text, names] : sums.all())
        out.push_back(
            {feeds, sentence_case(in_all(names, c.placements.size())) + ": " + text + "."});
    out.push_back({feeds, wiring_caution(), true});
}

/// What runs warned of: the worst of one code about the same things, with its subjects and
/// placements.
struct Warned {
    Diagnostic worst;
    std::vector<std::string> subjects, placements;
};

/// Loops and their parts have their warnings each; of cores, fans and paths that share one all are
/// named behind it. The first name is the part; those behind it, like its values, may differ.
bool same_kind(const Diagnostic& a, const Diagnostic& b) {
    const auto part = [](const Diagnostic& d) { return d.names.empty() ? "" : d.names.front(); };
    return a.code == b.code && part(a) == part(b) &&
           (about(a.code) != About::loop || a.subject == b.subject);
}

void gather(std::vector<Warned>& all, const Diagnostic& warning, const std::string& placement) {
    auto it = std::find_if(all.begin(), all.end(),
                           [&](const Warned& w) { return same_kind(w.worst, warning); });
    if (it == all.end()) it = all.insert(it, {warning, {}, {}});
    if (amount(warning) > amount(it->worst)) it->worst = warning;
    if (const std::string name = who(warning); !name.empty())
        add_once(it->subjects, plain_name(name));
    add_once(it->placements, placement);
}

void say_warnings(const Comparison& c, units::System system, std::vector<Caution>& out) {
    std::vector<Warned> warned;
    for (std::size_t p = 0; p < c.placements.size(); ++p)
        for (std::size_t k = 0; k < c.cycles.size(); ++k)
            for (const Diagnostic& warning : c.at(p, k).result.warnings)
                if (warning.code != Code::loads_beyond_alternator)  // said under wiring
                    gather(warned, warning, c.placements[p]);
    const auto say_all = [&](bool of_loops, const char* heading) {
        for (const Warned& w : warned) {
            if ((about(w.worst.code) == About::loop) != of_loops) continue;
            Diagnostic told = w.worst;
            told.subject = plain_name(told.subject);
            std::string text =
                sentence_case(of_loops ? words(told, system) : sentence(told, system));
            if (text.ends_with('.')) text.pop_back();
            if (!of_loops && !w.subjects.empty()) text += ": " + join(w.subjects);
            if (w.placements.size() < c.placements.size()) text += " (" + join(w.placements) + ")";
            out.push_back({heading, text + "."});
        }
    };
    say_all(true, plumbing);
    say_all(false, trust);
    for (const std::string& text : c.not_done)
        out.push_back({trust, units::restated(text, system), true});
    out.push_back(
        {trust,
         "Estimates from a model with stated assumptions, not a promise about your car. Measure "
         "temperatures after fitting, and stop when a fluid reaches its limit."});
}

/// What the other ways of waiting would have cost: one line for each cycle with waits.
void say_queue(const Comparison& c, units::System system, std::vector<Caution>& out) {
    const auto kelvin = [&](double margin) {
        return say(margin, Quantity::temperature_difference, system);
    };
    for (std::size_t i = 0; i < c.queue.size();) {
        const QueueChoice& driven = c.queue[i];
        std::string text = fmt::format(
            "{}, {}: waiting {}, as the cycle has it, leaves the transmission {} of margin",
            driven.cycle, driven.placement, driven.way, kelvin(driven.margin));
        for (++i; i < c.queue.size() && !c.queue[i].as_driven; ++i)
            text += fmt::format("; {} {}", c.queue[i].way, kelvin(c.queue[i].margin));
        out.push_back({queueing, sentence_case(text) + "."});
    }
}

}  // namespace

std::vector<Caution> cautions(const Comparison& c, units::System system) {
    std::vector<Caution> out;
    out.push_back(
        {safety,
         "Hot oil near the exhaust burns. Keep lines and cores clear of it or shield "
         "them, use hose and fittings rated for the fluid's temperature and pressure, and "
         "look for leaks after the first warm run.",
         true});
    out.push_back({safety,
                   "Never open a hot cooling system: coolant under pressure boils when the cap "
                   "comes off. Let it cool, then relieve the pressure slowly.",
                   true});
    out.push_back(
        {safety,
         "Under a car: level ground, stands at the proper points, wheels blocked; never a "
         "jack alone. Local codes and licensed trades come before anything said here.",
         true});
    say_places(c, system, out);
    say_wiring(c, system, out);
    say_queue(c, system, out);
    say_warnings(c, system, out);
    return out;
}

}  // namespace lapheat::study
