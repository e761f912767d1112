// What driving drawn cars coarsely does to their margins, and how much sooner they are through.
//
//   measure_draws [WORD ...] [--from N] [--cars N] [--way SECONDS,TIMES,RECORDS ...]
//
// Placements whose names have one of the WORDs; none: all. Cars N and on of the usual series,
// driven row by row as study::drawn() has it and coarsely, by study::coarse() or by the ways given:
// averaged over SECONDS, TIMES the tolerance, RECORDS times as far apart. As in a study the median
// difference of the first five cars is put back; those that show it are not among those that are
// judged, unless --from says so. Each way settles by itself; processor time is of both.
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <filesystem>
#include <map>
#include <stdexcept>
#include <string>
#include <vector>

#include "accuracy.hpp"
#include "drives.hpp"
#include "lapheat/model/drive_cache.hpp"
#include "lapheat/solve/given_data.hpp"
#include "lapheat/study/doubts.hpp"
#include "processor_time.hpp"

using namespace lapheat;

namespace {

struct Way {
    std::string name;
    model::Options options;
    double settling = 0, seconds = 0;           ///< of processor, of the judged cars
    std::map<std::string, double> margin = {};  ///< K, of "cycle/placement/loop/car"
};

struct Wishes {
    std::vector<std::string> words;
    std::uint32_t from = 300, cars = 16;
    std::vector<Way> ways;
};

model::Options plain() { return study::drawn(study::without_series({})); }

Wishes read(int count, char** words) {
    Wishes out;
    for (int i = 1; i < count; ++i) {
        const std::string word = words[i];
        if (word == "--from" && i + 1 < count)
            out.from = static_cast<std::uint32_t>(std::stoul(words[++i]));
        else if (word == "--cars" && i + 1 < count)
            out.cars = static_cast<std::uint32_t>(std::stoul(words[++i]));
        else if (word == "--way" && i + 1 < count) {
            Way way{.name = words[++i], .options = plain()};
            double times = 1, records = 1;
            if (std::sscanf(way.name.c_str(), "%lf,%lf,%lf", &way.options.averaged, &times,
                            &records) != 3)
                throw std::runtime_error("--way expects SECONDS,TIMES,RECORDS");
            way.options.tolerance *= times;
            way.options.sample_interval *= records;
            out.ways.push_back(std::move(way));
        } else
            out.words.push_back(word);
    }
    if (out.ways.empty()) out.ways.push_back({.name = "coarse", .options = study::coarse(plain())});
    return out;
}

/// One car of one placement through all cycles by every way.
void drive_all(const model::Model& model, const scenario::Scenario& place, const std::string& car,
               bool judged, std::vector<Way>& ways) {
    for (const drive::Cycle& cycle : place.cycles)
        for (Way& way : ways) {
            model::Options run = way.options;
            const double began = processor_seconds();
            run.start = model::settled_start(model, cycle, run);
            const double settled = processor_seconds();
            const model::Result result = model::simulate(model, cycle, run);
            if (judged) {
                way.settling += settled - began;
                way.seconds += processor_seconds() - began;
            }
            for (const model::Verdict& v : result.verdicts) {
                const std::string key = cycle.name + "/" + place.car.placement + "/" + v.loop;
                way.margin[key + "/" + car] = v.margin;
            }
        }
}

struct Sums {
    double sum = 0, square = 0, worst = 0, spread = 0;
    double low = 0, middle = 0, high = 0;  ///< K, worst differences of quantiles
    int count = 0, groups = 0, flips = 0;
};

/// The way held against the first, by cycle.
void tell(const Wishes& wishes, const Way& by_row, const Way& way) {
    std::map<std::string, std::vector<std::string>> groups;  // "cycle/placement/loop/": cars
    for (const auto& [key, margin] : by_row.margin) {
        const std::size_t cut = key.rfind('/') + 1;
        groups[key.substr(0, cut)].push_back(key.substr(cut));
    }
    std::map<std::string, Sums> cycles;
    for (const auto& [group, cars] : groups) {
        std::vector<double> shown, fine, coarse;
        for (const std::string& car : cars)
            if (car[0] == 's')
                shown.push_back(way.margin.at(group + car) - by_row.margin.at(group + car));
        const double put_back = solve::quantile(shown, 0.5);
        Sums& c = cycles[group.substr(0, group.find('/'))];
        for (const std::string& car : cars) {
            if (car[0] == 's') continue;
            fine.push_back(by_row.margin.at(group + car));
            coarse.push_back(way.margin.at(group + car) - put_back);
            const double off = coarse.back() - fine.back();
            c.sum += off;
            c.square += off * off;
            c.worst = std::max(c.worst, std::abs(off));
            c.count += 1;
            c.flips += (fine.back() < 0) != (coarse.back() < 0);
        }
        double mean = 0, variance = 0;
        for (const double x : fine) mean += x / static_cast<double>(fine.size());
        for (const double x : fine) variance += (x - mean) * (x - mean);
        c.spread += std::sqrt(variance / static_cast<double>(fine.size() - 1));
        ++c.groups;
        const auto off = [&](double q) {
            return std::abs(solve::quantile(coarse, q) - solve::quantile(fine, q));
        };
        c.low = std::max(c.low, off(0.05));
        c.middle = std::max(c.middle, off(0.5));
        c.high = std::max(c.high, off(0.95));
    }
    std::printf("%s: %.2f s of processor (%.2f settling), %.2f of row by row's %.2f (%.2f)\n",
                way.name.c_str(), way.seconds, way.settling, way.seconds / by_row.seconds,
                by_row.seconds, by_row.settling);
    std::printf("  %-22s %7s %7s %7s  %6s %6s %6s %7s %5s of %d cars\n", "cycle", "mean", "rms",
                "worst", "5 %", "50 %", "95 %", "spread", "flips", wishes.cars);
    for (const auto& [name, c] : cycles)
        std::printf("  %-22s %7.3f %7.3f %7.2f  %6.2f %6.2f %6.2f %7.2f %5d of %d\n", name.c_str(),
                    c.sum / c.count, std::sqrt(c.square / c.count), c.worst, c.low, c.middle,
                    c.high, c.spread / c.groups, c.flips, c.count);
}

}  // namespace

int main(int count, char** arguments) {
    Wishes wishes = read(count, arguments);
    std::vector<scenario::Scenario> places;
    for (const auto& file : model::toml_files(LAPHEAT_SOURCE_DIR "/scenarios/placements"))
        if (wishes.words.empty() ||
            std::any_of(wishes.words.begin(), wishes.words.end(), [&](const std::string& word) {
                return file.stem().string().find(word) != std::string::npos;
            }))
            places.push_back(scenario::read(file, {}));
    const study::DoubtedCars cars(places, 1);
    std::vector<Way> ways{{.name = "row by row", .options = plain()}};
    ways.insert(ways.end(), wishes.ways.begin(), wishes.ways.end());
    const auto drives =
        std::make_shared<model::DriveCache>(places.front().cycles.size() * ways.size());
    for (Way& way : ways) way.options.drives = drives;
    for (std::size_t k = 0; k < study::shown_by; ++k)
        for (std::size_t p = 0; p < places.size(); ++p)
            drive_all(
                *model::compile(k == 0 ? places[p].car
                                       : cars.car(p, cars.draw(static_cast<std::uint32_t>(k - 1)))),
                places[p], "s" + std::to_string(k), false, ways);
    for (std::uint32_t n = wishes.from; n < wishes.from + wishes.cars; ++n)
        for (std::size_t p = 0; p < places.size(); ++p)
            drive_all(*model::compile(cars.car(p, cars.draw(n))), places[p], std::to_string(n),
                      true, ways);
    for (std::size_t w = 1; w < ways.size(); ++w) tell(wishes, ways.front(), ways[w]);
    return 0;
}
