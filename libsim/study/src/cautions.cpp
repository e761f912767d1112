// What a builder should be told beside the numbers: each thing once, the worst harm first.
#include <algorithm>
#include <cctype>
#include <cstdlib>

#include "internal.hpp"
#include "lapheat/airflow/place.hpp"
#include "lapheat/study/wiring.hpp"
#include "words.hpp"

namespace lapheat::study {
namespace {

using units::Quantity;

constexpr const char* safety = "Safety";
constexpr const char* place = "The places";
constexpr const char* feeds = "Wiring, as guidance";
constexpr const char* plumbing = "Lines, pumps and fluids, the worst of the runs";
constexpr const char* trust = "How sure the numbers are";

std::string join(const std::vector<std::string>& parts, const char* between = ", ") {
    std::string out;
    for (const std::string& part : parts) out += (out.empty() ? "" : between) + part;
    return out;
}

void add_once(std::vector<std::string>& list, const std::string& text) {
    if (std::find(list.begin(), list.end(), text) == list.end()) list.push_back(text);
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
        if (loop.name == coolant_loop) continue;
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

void say_places(const Comparison& c, std::vector<Caution>& out) {
    for (std::size_t p = 0; p < c.cars.size(); ++p) {
        std::vector<std::string> warnings;
        for (const model::AirPath& path : c.cars[p].air)
            if (chosen(c.cars[p], path))
                for (const std::string& w : path.assumptions.warnings) add_once(warnings, w);
        if (has_tank_core(c.cars[p]))
            for (const std::string& w : airflow::defaults(airflow::Place::in_tank).warnings)
                add_once(warnings, w);
        if (!warnings.empty())
            out.push_back(
                {place, sentence_case(c.placements[p]) + ": " + join(warnings, "; ") + "."});
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
    out.push_back({feeds, wiring_caution()});
}

/// A text without its numbers, by which the same warning of several runs is known, and the first of
/// them, by which the worst is.
std::pair<std::string, double> without_numbers(const std::string& text) {
    std::string words;
    double first = 0;
    bool found = false;
    for (std::size_t i = 0; i < text.size();) {
        if (!std::isdigit(static_cast<unsigned char>(text[i]))) {
            words += text[i++];
            continue;
        }
        char* end = nullptr;
        const double number = std::strtod(text.c_str() + i, &end);
        if (!found) first = number;
        found = true;
        words += '#';
        i = static_cast<std::size_t>(end - text.c_str());
    }
    return {words, first};
}

/// What runs warned of: one sentence, the worst of its kind, with its parts and placements.
struct Warned {
    std::string words, worst;
    double most = 0;
    std::vector<std::string> parts, placements;
};

void gather(std::vector<Warned>& all, const std::string& text, const std::string& part,
            const std::string& placement) {
    const auto [words, first] = without_numbers(text);
    auto it = std::find_if(all.begin(), all.end(),
                           [&, &known = words](const Warned& w) { return w.words == known; });
    if (it == all.end()) it = all.insert(it, {words, text, first, {}, {}});
    if (first > it->most) {
        it->most = first;
        it->worst = text;
    }
    if (!part.empty()) add_once(it->parts, plain_name(part));
    add_once(it->placements, placement);
}

bool is_loop(const Comparison& c, const std::string& name) {
    return std::any_of(c.cars.begin(), c.cars.end(), [&](const model::Car& car) {
        return std::any_of(car.loops.begin(), car.loops.end(),
                           [&](const model::Loop& loop) { return loop.name == name; });
    });
}

void say_warnings(const Comparison& c, std::vector<Caution>& out) {
    std::vector<Warned> of_lines, of_others;
    for (std::size_t p = 0; p < c.placements.size(); ++p)
        for (std::size_t k = 0; k < c.cycles.size(); ++k)
            for (const std::string& warning : c.at(p, k).result.warnings) {
                if (warning.starts_with("loads took")) continue;  // said under wiring
                const std::size_t colon = warning.find(": ");
                const std::string part = colon == std::string::npos ? "" : warning.substr(0, colon);
                if (is_loop(c, part)) {
                    gather(of_lines, plain_name(part) + warning.substr(colon), "", c.placements[p]);
                    continue;
                }
                // "cooler: The air side … . The liquid side … ." becomes each sentence with its
                // parts, so that many parts in many placements make few lines.
                std::string rest = colon == std::string::npos ? warning : warning.substr(colon + 2);
                while (!rest.empty()) {
                    const std::size_t stop = rest.find(". ");
                    std::string sentence = rest.substr(0, stop);
                    if (sentence.ends_with('.')) sentence.pop_back();
                    gather(of_others, sentence, part, c.placements[p]);
                    rest = stop == std::string::npos ? "" : rest.substr(stop + 2);
                }
            }
    const auto say_all = [&](const std::vector<Warned>& warned, const char* about) {
        for (const Warned& w : warned) {
            std::string text = sentence_case(w.worst);
            if (text.ends_with('.')) text.pop_back();
            if (!w.parts.empty()) text += ": " + join(w.parts);
            if (w.placements.size() < c.placements.size()) text += " (" + join(w.placements) + ")";
            out.push_back({about, text + "."});
        }
    };
    say_all(of_lines, plumbing);
    say_all(of_others, trust);
    out.push_back(
        {trust,
         "Estimates from a model with stated assumptions, not a promise about your car. Measure "
         "temperatures after fitting, and stop when a fluid reaches its limit."});
}

}  // namespace

std::vector<Caution> cautions(const Comparison& c, units::System system) {
    std::vector<Caution> out;
    out.push_back(
        {safety,
         "Hot oil near the exhaust burns. Keep lines and cores clear of it or shield "
         "them, use hose and fittings rated for the fluid's temperature and pressure, and "
         "look for leaks after the first warm run."});
    out.push_back({safety,
                   "Never open a hot cooling system: coolant under pressure boils when the cap "
                   "comes off. Let it cool, then relieve the pressure slowly."});
    out.push_back(
        {safety,
         "Under a car: level ground, stands at the proper points, wheels blocked; never a "
         "jack alone. Local codes and licensed trades come before anything said here."});
    say_places(c, out);
    say_wiring(c, system, out);
    say_warnings(c, out);
    return out;
}

}  // namespace lapheat::study
