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
    try {
        const airflow::WireGuide guide = airflow::wire_guide(current, wire_length);
        return "draws " + say(current, Quantity::electric_current, system) + ": a " +
               say_number(guide.fuse) + " A fuse close to the battery and at least " +
               say_number(guide.area) + " mm² of copper for " +
               say(wire_length, Quantity::length, system) + " of run; " + guide.caution;
    } catch (const Error& e) {
        return "draws " + say(current, Quantity::electric_current, system) +
               ": no wire size is given (" + e.what() + ")";
    }
}

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
    // One placement's own warnings carry its name; those of all placements stand once.
    for (std::size_t p = 0; p < c.cars.size(); ++p) {
        const std::string name = sentence_case(c.placements[p]);
        for (const model::AirPath& path : c.cars[p].air) {
            bool shared = c.cars.size() > 1;
            for (const model::Car& other : c.cars)
                shared =
                    shared && std::any_of(other.air.begin(), other.air.end(), [&](const auto& a) {
                        return a.assumptions.place == path.assumptions.place;
                    });
            if (shared) continue;
            for (const std::string& warning : path.assumptions.warnings)
                say_once(name + ": " + warning + ".");
        }
        for (const model::FanEntry& fan : c.cars[p].fans)
            if (fan.drive.kind != airflow::DriveKind::viscous_clutch &&
                fan.drive.kind != airflow::DriveKind::belt)
                say_once("Fan \"" + plain_name(fan.name) + "\" " + fan_wiring(fan, system) + ".");
    }
    for (std::size_t p = 0; p < c.placements.size(); ++p) {
        double most = 0;
        for (std::size_t k = 0; k < c.cycles.size(); ++k)
            most = std::max(most, c.at(p, k).result.peak_fan_current);
        if (most > 0)
            say_once(sentence_case(c.placements[p]) + ": fans draw up to " +
                     say(most, Quantity::electric_current, system) +
                     " together. Check what the alternator gives at idle.");
    }
    for (const Outcome& o : c.outcomes)
        for (const std::string& warning : o.result.warnings)
            say_once("From the model, " + o.placement + ": " + warning +
                     (warning.ends_with('.') ? "" : "."));
    return out;
}

}  // namespace lapheat::study
