// What a car loses in the cold: nine measured drives (validation/drives/README.md) against ours on
// the same speeds in the same air. The measured car is a diesel, ours an invented petrol car, and
// whether the measured one's heater ran is not known: what compares is what a logger sees, worked
// out of both by the same steps.
#include <array>
#include <cmath>

#include "logged_car.hpp"

using namespace lapheat;
using namespace lapheat::validation;

namespace {

constexpr double window = 60;  // s

/// What one window of a drive shows while the thermostat is shut: how fast the coolant warms, and
/// what that may depend on.
struct Window {
    double rate = 0;                  ///< K/s
    std::array<double, 3> because{};  ///< engine speed rad/s, power at the wheels kW, K over air
};

/// Windows in which the coolant is between 40 and 80 degC, up to the first that leaves it above:
/// after that the thermostat may be open.
std::vector<Window> shut_windows(const LoggedDrive& d, const std::vector<double>& coolant,
                                 const std::vector<double>& engine_speed) {
    std::vector<Window> found;
    for (double begin = d.time.front(); begin + window < d.time.back(); begin += window) {
        double n = 0, st = 0, sc = 0, stt = 0, stc = 0;
        Window w;
        bool shut = true, open = false;
        for (std::size_t i = 1; i + 1 < d.time.size(); ++i) {
            if (d.time[i] < begin || d.time[i] >= begin + window) continue;
            const double c = coolant[i], t = d.time[i] - begin, v = d.speed[i];
            shut = shut && c >= 40 + zero;
            open = open || c > 80 + zero;
            n += 1, st += t, sc += c, stt += t * t, stc += t * c;
            // One road load for both: 1500 kg, 0.012, 0.7 m2. It is a measure of load, no more.
            const double gain = (d.speed[i + 1] - d.speed[i - 1]) / (d.time[i + 1] - d.time[i - 1]);
            const double force = 1500 * 9.81 * 0.012 + 0.5 * 1.2 * 0.7 * v * v + 1560 * gain;
            w.because[0] += engine_speed[i];
            w.because[1] += std::max(force * v, 0.0) / 1e3;
            w.because[2] += c - d.ambient[i];
        }
        if (open) break;
        if (!shut || n < 0.7 * window) continue;
        for (double& b : w.because) b /= n;
        w.rate = (stc - st * sc / n) / (stt - st * st / n);
        found.push_back(w);
    }
    return found;
}

/// Loss for each kelvin over the air by heat capacity, 1/s, and its standard error: least squares
/// of the rate over the three (normal equations).
struct Loss {
    double value = 0, error = 0;
};
Loss fitted_loss(const std::vector<Window>& windows) {
    std::array<std::array<double, 7>, 3> a{};  // normal matrix, right-hand side, unit matrix
    for (const Window& w : windows)
        for (std::size_t i = 0; i < 3; ++i) {
            for (std::size_t j = 0; j < 3; ++j) a[i][j] += w.because[i] * w.because[j];
            a[i][3] += w.because[i] * w.rate;
            a[i][4 + i] = 1;
        }
    for (std::size_t k = 0; k < 3; ++k) {
        const double pivot = a[k][k];
        for (double& x : a[k]) x /= pivot;
        for (std::size_t i = 0; i < 3; ++i) {
            if (i == k) continue;
            const double by = a[i][k];
            for (std::size_t j = 0; j < 7; ++j) a[i][j] -= by * a[k][j];
        }
    }
    double rest = 0;
    for (const Window& w : windows) {
        double off = w.rate;
        for (std::size_t i = 0; i < 3; ++i) off -= a[i][3] * w.because[i];
        rest += off * off;
    }
    return {-a[2][3], std::sqrt(rest / static_cast<double>(windows.size() - 3) * a[2][6])};
}

/// Ours at the drive's own times.
std::vector<double> at_times(const std::vector<double>& t, const std::vector<double>& x,
                             const std::vector<double>& wanted) {
    std::vector<double> y;
    std::size_t k = 1;
    for (const double w : wanted) {
        while (k + 1 < t.size() && t[k] < w) ++k;
        const double share = t[k] > t[k - 1] ? (w - t[k - 1]) / (t[k] - t[k - 1]) : 1;
        y.push_back(x[k - 1] + std::clamp(share, 0.0, 1.0) * (x[k] - x[k - 1]));
    }
    return y;
}

/// Mean coolant of a warm, driven car, as of a log (drives.hpp).
double warm_mean(LoggedDrive d, const std::vector<double>& coolant) {
    d.coolant = coolant;
    return warm_means(d).coolant;
}

}  // namespace

TEST_CASE("what warm coolant loses to cold air, thermostat shut and regulating") {
    const model::Car small = small_car(), heated = with_heater(small);
    std::vector<Window> logged, ours, unheated;
    double cold_logged = 0, cold_ours = 0, cold_unheated = 0, cold_air = 0;
    double mild_logged = 0, mild_ours = 0, mild_unheated = 0;
    for (int k = 1; k <= logged_drives; ++k) {
        LoggedDrive d = logged_drive(k);
        const bool winter = d.ambient.front() < 10 + zero;
        const double start = d.time.front();
        for (double& t : d.time) t -= start;
        const auto add = [](std::vector<Window>& to, const std::vector<Window>& more) {
            to.insert(to.end(), more.begin(), more.end());
        };
        add(logged, shut_windows(d, d.coolant, d.engine_speed));
        const auto drive_ours = [&](const model::Car& car, std::vector<Window>& to) {
            const DrivenCoolant r = driven(car, d);
            const std::vector<double> coolant = at_times(r.time, r.coolant, d.time);
            add(to, shut_windows(d, coolant, at_times(r.time, r.engine_speed, d.time)));
            return warm_mean(d, coolant);
        };
        const double off = drive_ours(small, unheated);
        // A copy of what was driven: in mild air the heater is off in both.
        const double on = winter ? drive_ours(heated, ours) : drive_ours(small, ours);
        const WarmMeans m = warm_means(d);
        if (k == 7) {
            cold_logged = m.coolant, cold_ours = on, cold_unheated = off, cold_air = m.ambient;
        } else {
            mild_logged += m.coolant / 8, mild_ours += on / 8, mild_unheated += off / 8;
        }
    }
    const Loss outside = fitted_loss(logged);
    struct Heater {
        const char* words;
        double loss, deficit;
        std::size_t minutes;
        const char *loss_story, *deficit_story;
    };
    for (const Heater& h :
         {Heater{"ours without heater", fitted_loss(unheated).value, mild_unheated - cold_unheated,
                 unheated.size(), "", ""},
          Heater{
              "ours with its heater on in winter", fitted_loss(ours).value, mild_ours - cold_ours,
              ours.size(),
              "The assumed heater, 70 W/K for the whole drive, is too much: the measured car lies "
              "below even our car without one. It may have run its heater low, or have an "
              "electric one as such diesels do.",
              "The same heater draws some 6 kW all the time and pulls a petrol car that idles "
              "through a town down by 16 K; the measured car lost 3 K, nearer to none."}}) {
        Row row{.topic = "Loss in the cold",
                .quantity = std::string("loss of coolant for each kelvin over air, by its heat "
                                        "capacity, thermostat shut, ") +
                            h.words,
                .source = logged_drives_source,
                .read = "a public copy, bytes unchanged; thinned here to a row a second",
                .outside = outside.value,
                .ours = h.loss,
                .unit = "1/s"};
        row.band = {0, 2 * outside.error, "two standard errors of the measured slope"};
        row.note =
            "least squares of the coolant's rate over engine speed, power at the wheels and "
            "kelvins over air, both in the same way; " +
            std::to_string(logged.size()) + " minutes logged, " + std::to_string(h.minutes) +
            " ours; whether the measured car's heater ran is not known";
        row.story = h.loss_story;
        measured(row);
        row.quantity = std::string(
                           "warm coolant on the coldest drive below the mean of the eight "
                           "others, ") +
                       h.words;
        row.outside = mild_logged - cold_logged;
        row.ours = h.deficit;
        row.unit = "K";
        row.band = {0.5, 0, "ours: another car, of another fuel (as for warm-up)"};
        row.note = "air at " + number(cold_air - zero, 2) +
                   " degC: coolant falls below what the thermostat holds; whether the measured "
                   "car's heater ran is not known";
        row.story = h.deficit_story;
        measured(row);
    }
}
