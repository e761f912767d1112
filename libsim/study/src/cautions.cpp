// What a builder should be told beside the numbers: each thing once, the worst harm first.
#include <algorithm>
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
        for (const model::FanEntry& fan : c.cars[p].fans) {
            const std::string text = fan_feed(fan, system);
            if (text.empty()) continue;
            fans.add(text, plain_name(fan.name));
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

/// "… for 40 s", "… (3.2 % of the cycle's intervals)": the words, and the number that differs.
std::pair<std::string, double> without_amount(const std::string& text) {
    for (const char* mark : {" for ", " ("}) {
        const std::size_t at = text.rfind(mark);
        if (at == std::string::npos) continue;
        const char* number = text.c_str() + at + std::string(mark).size();
        char* end = nullptr;
        const double amount = std::strtod(number, &end);
        if (end != number) return {text.substr(0, at) + mark + "up to {}" + end, amount};
    }
    return {text, 0};
}

void say_trust(const Comparison& c, std::vector<Caution>& out) {
    // "cooler: The air side … . The liquid side … ." becomes each sentence with its parts, so that
    // many parts in many placements make few lines.
    Gathered parts;                 // sentence → parts
    Gathered placements;            // sentence → placements
    std::vector<double> amounts;    // most of each sentence
    std::vector<std::string> said;  // sentences in order
    for (std::size_t p = 0; p < c.placements.size(); ++p)
        for (std::size_t k = 0; k < c.cycles.size(); ++k)
            for (const std::string& warning : c.at(p, k).result.warnings) {
                if (warning.starts_with("loads took")) continue;  // said under wiring
                const std::size_t colon = warning.find(": ");
                const std::string part = colon == std::string::npos ? "" : warning.substr(0, colon);
                std::string rest = colon == std::string::npos ? warning : warning.substr(colon + 2);
                while (!rest.empty()) {
                    const std::size_t stop = rest.find(". ");
                    std::string sentence = rest.substr(0, stop);
                    if (sentence.ends_with('.')) sentence.pop_back();
                    const auto [text, amount] = without_amount(sentence);
                    rest = stop == std::string::npos ? "" : rest.substr(stop + 2);
                    const auto it = std::find(said.begin(), said.end(), text);
                    const auto index = static_cast<std::size_t>(it - said.begin());
                    if (it == said.end()) {
                        said.push_back(text);
                        amounts.push_back(amount);
                    } else {
                        amounts[index] = std::max(amounts[index], amount);
                    }
                    parts.add(text, plain_name(part));
                    placements.add(text, c.placements[p]);
                }
            }
    for (std::size_t i = 0; i < said.size(); ++i) {
        std::string text = said[i];
        if (const std::size_t at = text.find("{}"); at != std::string::npos)
            text.replace(at, 2, say_number(amounts[i]));
        const std::string who = join(parts.all()[i].second);
        const auto& where = placements.all()[i].second;
        out.push_back({trust, sentence_case(text) + (who.empty() ? "" : ": " + who) +
                                  (where.size() == c.placements.size()
                                       ? "."
                                       : " (" + in_all(where, c.placements.size()) + ").")});
    }
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
    say_trust(c, out);
    return out;
}

}  // namespace lapheat::study
