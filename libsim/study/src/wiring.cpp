#include "lapheat/study/wiring.hpp"

#include <fmt/format.h>

#include <cmath>
#include <numbers>

#include "lapheat/airflow/fan_drive.hpp"
#include "lapheat/model/description.hpp"
#include "words.hpp"

namespace lapheat::study {

std::string copper_size(double area, units::System system) {
    const double diameter = 1e3 * std::sqrt(area * 4 / std::numbers::pi);  // mm, as the standard
    const double gauge = 36 - 39 * std::log(diameter / 0.127) / std::log(92);
    const int even = 2 * static_cast<int>(std::floor(gauge / 2 + 1e-9));
    return system == units::System::us && even >= 0 ? fmt::format("{} AWG", even)
                                                    : say_number(1e6 * area) + " mm²";
}

std::vector<FanFeed> fan_feeds(const model::Car& car) {
    std::vector<FanFeed> out;
    for (const model::FanEntry& fan : car.fans) {
        if (fan.drive.kind == airflow::DriveKind::viscous_clutch ||
            fan.drive.kind == airflow::DriveKind::belt)
            continue;
        FanFeed& feed = out.emplace_back();
        feed.fan = fan.name;
        feed.current = fan.drive.rated_current;
        feed.length = fan.wire_length;
        try {
            const airflow::WireGuide guide = airflow::wire_guide(feed.current, feed.length);
            feed.fuse = guide.fuse;
            feed.area = 1e-6 * guide.area;
        } catch (const Error& e) {
            feed.problem = e.what();
        }
    }
    return out;
}

std::string feed_words(const FanFeed& feed, units::System system) {
    const std::string current = say(feed.current, units::Quantity::electric_current, system);
    if (!feed.problem.empty())
        return fmt::format("{}: no wire size is given ({})", current, feed.problem);
    return fmt::format("{}: {} A fuse at the battery end, {} of copper for a run of {}", current,
                       say_number(feed.fuse), copper_size(feed.area, system),
                       say_length(feed.length, system));
}

const char* wiring_caution() noexcept {
    return "Guidance only: a fuse protects the wire, so it sits at the battery end, and a relay "
           "carries the fan. A fan draws three to five times its running current at start; heat "
           "and poor crimps lower what a wire carries. The fan's own data come first.";
}

std::vector<std::string> wiring(const model::Car& car, units::System system) {
    std::vector<std::pair<std::string, std::vector<std::string>>> feeds;  // feed, fans
    for (const FanFeed& row : fan_feeds(car)) {
        const std::string feed = feed_words(row, system);
        if (feeds.empty() || feeds.back().first != feed) feeds.push_back({feed, {}});
        feeds.back().second.push_back(plain_name(row.fan));
    }
    std::vector<std::string> out;
    for (const auto& [feed, fans] : feeds) {
        out.push_back(fmt::format("{}, {}{}.",
                                  sentence_case(fmt::format("{}", fmt::join(fans, " and "))),
                                  fans.size() > 1 ? "each " : "", feed));
    }
    if (!out.empty()) out.emplace_back(wiring_caution());
    return out;
}

}  // namespace lapheat::study
