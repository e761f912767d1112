#include <algorithm>
#include <cmath>
#include <cstdio>
#include <lapheat/heat/faults.hpp>

#include "require.hpp"

namespace lapheat::heat {
namespace {

std::string percent(double part) { return std::to_string(std::lround(100 * part)) + " %"; }

std::string joined(const std::vector<std::string>& names) {
    std::string text;
    for (const auto& name : names) text += (text.empty() ? "" : ", ") + name;
    return text;
}

}  // namespace

void validate(const Faults& f) {
    require_within(f.thermostat_stuck.value_or(0), 0, 1, "thermostat_stuck");
    require_within(f.belt_slip, 0, 1, "belt_slip");
    require_within(f.coolant_missing, 0, 0.9, "coolant_missing");
    require_within(f.core_blocked, 0, 0.99, "core_blocked");
    require_within(f.hose_collapsed, 0, 0.99, "hose_collapsed");
    require_within(f.cap_pressure.value_or(0), 0, 5e5, "cap_pressure");
    require_within(f.spark_retard, 0, 40, "spark_retard");
    require_within(f.fouling, 0, 0.01, "fouling");
}

double gas_handling(double fraction) {
    return std::clamp((0.15 - fraction) / (0.15 - 0.03), 0.0, 1.0);
}

double void_fraction(double coolant_missing, double expansion_share) {
    return std::clamp(coolant_missing - expansion_share, 0.0, 1.0);
}

std::vector<std::string> describe(const Faults& f) {
    std::vector<std::string> lines;
    if (!f.dead_fans.empty()) lines.push_back("fan dead: " + joined(f.dead_fans));
    if (f.thermostat_stuck) {
        lines.push_back("thermostat stuck " + percent(*f.thermostat_stuck) + " open");
    }
    if (f.belt_slip > 0) lines.push_back("belt slips, pump " + percent(f.belt_slip) + " slower");
    if (f.coolant_missing > 0) lines.push_back("coolant " + percent(f.coolant_missing) + " low");
    if (f.core_blocked > 0) {
        lines.push_back(percent(f.core_blocked) + " of the face blocked: " +
                        (f.blocked_cores.empty() ? "every core" : joined(f.blocked_cores)));
    }
    if (f.hose_collapsed > 0) {
        lines.push_back("suction hose collapsed by " + percent(f.hose_collapsed));
    }
    if (f.cap_pressure) {
        char text[64];
        std::snprintf(text, sizeof text, "cap holds only %.0f kPa", *f.cap_pressure / 1e3);
        lines.emplace_back(text);
    }
    if (f.spark_retard > 0) {
        lines.push_back("spark " + std::to_string(std::lround(f.spark_retard)) + " degrees late");
    }
    if (f.fouling > 0) lines.emplace_back("cores fouled inside");
    if (f.converter_never_locks) lines.emplace_back("converter never locks");
    return lines;
}

}  // namespace lapheat::heat
