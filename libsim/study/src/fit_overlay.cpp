// The fitted car as a file that extends the one it was.
#include <fmt/format.h>

#include <cmath>
#include <filesystem>
#include <utility>
#include <vector>

#include "lapheat/study/car_fit.hpp"

namespace lapheat::study {

std::vector<std::string> keys_of(const scenario::Scenario& car, const DoubtedNumber& number) {
    std::vector<std::string> out;
    for (const scenario::StatedDoubt& d : car.doubts)
        if (number.stated_by(d.path)) out.push_back(d.path);
    return out;
}

std::string overlay_of(const CarFit& fit, const std::string& base) {
    std::string logs;
    for (const FitScore& s : fit.scores)
        if (!s.held_back && logs.find(s.log) == std::string::npos)
            logs += (logs.empty() ? "\"" : ", \"") +
                    std::filesystem::path(s.log).filename().string() + '"';
    std::string out = fmt::format(
        "# Numbers of a car fitted to logs. An estimate: it says what the logs told of this car, "
        "in\n"
        "# the weather and at the loads that were logged, and no more. Written by `lapheat fit`.\n"
        "extends = \"{}\"\n\n[fitted]\nlogs = [{}]\n",
        std::filesystem::absolute(base).string(), logs);
    std::vector<std::size_t> written;  // rows of the correlation
    std::size_t column = 0;
    for (const FittedNumber& f : fit.numbers) {
        if (!f.fitted) continue;
        if (!f.log.empty()) {  // of that drive, not of the car
            ++column;
            continue;
        }
        // Two standard deviations, of the logarithm where it is drawn so: 5 to 95 % is 3.29 of
        // them.
        const auto kind = f.number.distribution.kind;
        const bool factor = kind == solve::Distribution::Kind::log_normal ||
                            kind == solve::Distribution::Kind::log_triangular;
        const double two =
            (factor ? std::log(f.after_95 / f.after_5) : f.after_95 - f.after_5) / 1.64485;
        const double low = factor ? f.after * std::exp(-two) : f.after - two;
        const double high = factor ? f.after * std::exp(two) : f.after + two;
        out += fmt::format(
            "\n[[fitted.numbers]]  # it stood at {:.4g}, {:.4g} to {:.4g}; the logs tell {:.0f} % "
            "of "
            "its variance\nof = \"{}\"\nname = \"{}\"\nvalue = {:.6g}\nlow = {:.6g}\nhigh = "
            "{:.6g}\n",
            f.before, f.before_5, f.before_95, 100 * f.told, f.number.of, f.number.name, f.after,
            low, high);
        const char* more = "keys = [";
        for (const std::string& key : f.keys)
            out += fmt::format("{}'{}'", std::exchange(more, ", "), key);
        if (!f.keys.empty()) out += "]\n";
        const std::string_view unit = units::si_unit(f.number.quantity);
        if (!f.keys.empty() && unit != "1" && !unit.empty())
            out += fmt::format("unit = \"{}\"\n", unit);
        const char* before = "correlation = [";
        for (const std::size_t j : written)
            out += fmt::format("{}{:.4f}", std::exchange(before, ", "), fit.correlation(column, j));
        out += written.empty() ? "" : "]\n";
        written.push_back(column++);
    }
    return out;
}

}  // namespace lapheat::study
