// What a builder should be told beside the numbers.
#include <algorithm>
#include <set>

#include "internal.hpp"
#include "lapheat/airflow/fan_drive.hpp"
#include "lapheat/units/error.hpp"
#include "words.hpp"

namespace lapheat::study {
namespace {

using units::Quantity;

/// m of wire, one way, from the battery's post to a fan: a guess between a front and a rear fan.
constexpr double wire_length = 4;

std::string fan_wiring(const model::FanEntry& fan, units::System system) {
    const double current = fan.drive.rated_current;
    const std::string draws = "draws " + say(current, Quantity::electric_current, system) + ": ";
    try {
        const airflow::WireGuide guide = airflow::wire_guide(current, wire_length);
        return draws + "a " + say_number(guide.fuse) + " A fuse at the battery end and at least " +
               say_number(guide.area) + " mm² of copper for " + say_length(wire_length, system) +
               " of run.";
    } catch (const Error& e) {
        return draws + "no wire size is given (" + e.what() + ").";
    }
}

/// The same text of several placements said once, with their names.
class ByPlacement {
  public:
    void add(const std::string& text, const std::string& placement) {
        for (auto& [said, who] : texts_)
            if (said == text) {
                if (who.back() != placement) who.push_back(placement);
                return;
            }
        texts_.push_back({text, {placement}});
    }

    void append_to(std::vector<std::string>& out, std::size_t placements) const {
        for (const auto& [text, who] : texts_) {
            std::string names;
            for (const std::string& name : who) names += (names.empty() ? "" : ", ") + name;
            if (who.size() == placements && placements > 1) names = "all placements";
            out.push_back(sentence_case(names) + ": " + text + (text.ends_with('.') ? "" : "."));
        }
    }

  private:
    std::vector<std::pair<std::string, std::vector<std::string>>> texts_;
};

}  // namespace

std::vector<std::string> cautions(const Comparison& c, units::System system) {
    std::vector<std::string> out;
    std::set<std::string> said;
    const auto say_once = [&](const std::string& text) {
        if (said.insert(text).second) out.push_back(text);
    };
    say_once(
        "These are estimates from a model with stated assumptions, not a promise about your car. "
        "Measure temperatures after fitting, and stop when a fluid reaches its limit.");
    say_once(
        "Never open a hot cooling system: coolant under pressure boils when the cap comes off. "
        "Let it cool, then relieve the pressure slowly.");
    say_once(
        "Hot oil near the exhaust burns. Keep lines and cores clear of it or shield them, use "
        "hose and fittings rated for the fluid's temperature and pressure, and look for leaks "
        "after the first warm run.");
    say_once(
        "Under a car: level ground, stands at the proper points, wheels blocked. Never rely on "
        "a jack alone.");
    say_once("Local codes and the judgement of licensed trades come before anything said here.");
    say_once(
        "Wiring: a fuse protects the wire, so it sits at the battery end; a fan draws three to "
        "five times its running current at start; heat and poor crimps lower what a wire "
        "carries. The sizes below are guidance, the fan's own data come first.");
    for (const model::Car& car : c.cars)
        for (const model::FanEntry& fan : car.fans)
            if (fan.drive.kind != airflow::DriveKind::viscous_clutch &&
                fan.drive.kind != airflow::DriveKind::belt)
                say_once("Fan \"" + plain_name(fan.name) + "\" " + fan_wiring(fan, system));
    ByPlacement places, results;
    for (std::size_t p = 0; p < c.placements.size(); ++p) {
        if (p < c.cars.size())
            for (const model::AirPath& path : c.cars[p].air)
                for (const std::string& warning : path.assumptions.warnings)
                    places.add(warning, c.placements[p]);
        double most = 0;
        for (std::size_t k = 0; k < c.cycles.size(); ++k) {
            const model::Result& result = c.at(p, k).result;
            most = std::max(most, result.peak_fan_current);
            for (const std::string& warning : result.warnings)
                results.add("from the model: " + warning, c.placements[p]);
        }
        if (most > 0)
            places.add("fans draw up to " + say(most, Quantity::electric_current, system) +
                           " together; check what the alternator gives at idle",
                       c.placements[p]);
    }
    places.append_to(out, c.placements.size());
    results.append_to(out, c.placements.size());
    return out;
}

}  // namespace lapheat::study
