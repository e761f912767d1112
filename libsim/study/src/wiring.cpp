#include "lapheat/study/wiring.hpp"

#include <cmath>
#include <numbers>

#include "lapheat/airflow/fan_drive.hpp"
#include "lapheat/units/error.hpp"
#include "words.hpp"

namespace lapheat::study {

std::string copper_size(double area, units::System system) {
    if (system == units::System::si) return say_number(area) + " mm²";
    const double diameter = std::sqrt(area * 4 / std::numbers::pi);
    const double gauge = 36 - 39 * std::log(diameter / 0.127) / std::log(92);
    const int even = 2 * static_cast<int>(std::floor(gauge / 2 + 1e-9));
    return even >= 0 ? std::to_string(even) + " AWG" : say_number(area) + " mm²";
}

std::string fan_feed(const model::FanEntry& fan, units::System system) {
    if (fan.drive.kind == airflow::DriveKind::viscous_clutch ||
        fan.drive.kind == airflow::DriveKind::belt)
        return "";
    std::string out =
        say(fan.drive.rated_current, units::Quantity::electric_current, system) + ": ";
    try {
        const airflow::WireGuide guide =
            airflow::wire_guide(fan.drive.rated_current, fan.wire_length);
        out += say_number(guide.fuse) + " A fuse at the battery end, " +
               copper_size(guide.area, system) + " of copper for a run of " +
               say_length(fan.wire_length, system);
    } catch (const Error& e) {
        out += std::string("no wire size is given (") + e.what() + ")";
    }
    return out;
}

const char* wiring_caution() noexcept {
    return "Guidance only: a fuse protects the wire, so it sits at the battery end, and a relay "
           "carries the fan. A fan draws three to five times its running current at start; heat "
           "and poor crimps lower what a wire carries. The fan's own data come first.";
}

std::vector<std::string> wiring(const model::Car& car, units::System system) {
    std::vector<std::pair<std::string, std::vector<std::string>>> feeds;  // feed, fans
    for (const model::FanEntry& fan : car.fans) {
        const std::string feed = fan_feed(fan, system);
        if (feed.empty()) continue;
        if (feeds.empty() || feeds.back().first != feed)
            feeds.push_back({feed, std::vector<std::string>()});
        feeds.back().second.push_back(plain_name(fan.name));
    }
    std::vector<std::string> out;
    for (const auto& [feed, fans] : feeds) {
        std::string names;
        for (const std::string& name : fans) names += (names.empty() ? "" : " and ") + name;
        out.push_back(sentence_case(names) + (fans.size() > 1 ? ", each " : ", ") + feed + ".");
    }
    if (!out.empty()) out.emplace_back(wiring_caution());
    return out;
}

}  // namespace lapheat::study
