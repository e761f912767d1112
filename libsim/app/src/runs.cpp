#include "runs.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <charconv>

#include "commands.hpp"
#include "lapheat/results/text_file.hpp"
#include "lapheat/study/draw_file.hpp"
#include "lapheat/study/report.hpp"

namespace lapheat::app {

std::vector<scenario::Scenario> read_all(const Common& common,
                                         const std::vector<std::string>& files,
                                         const std::vector<std::string>& cycles) {
    const std::vector<std::filesystem::path> paths(cycles.begin(), cycles.end());
    scenario::Problems problems;
    std::vector<scenario::Scenario> out;
    for (const std::string& file : files) {
        try {
            out.push_back(scenario::read(file, paths));
            for (const scenario::Problem& p : out.back().warnings) problems.add(p);
        } catch (const scenario::Errors& e) {
            for (const scenario::Problem& p : e.problems()) problems.add(p);
            continue;
        }
        if (out.back().cycles.empty())
            problems.error({file, 0, 0}, "cycles", "there is no cycle to drive",
                           "a list such as cycles = [\"cycles/traffic.toml\"], or --cycle FILE");
    }
    problems.throw_if_any();
    if (!common.quiet) complain(problems.sorted(), common.units);
    return out;
}

results::Provenance origin_of(const scenario::Scenario& scenario) {
    results::Provenance origin;
    for (const scenario::SourceFile& file : scenario.files)
        origin.files.push_back({file.path, file.text});
    origin.limits = results::limits_of(scenario.car);
    return origin;
}

void make_folder(const std::filesystem::path& folder) {
    std::error_code failed;
    std::filesystem::create_directories(folder, failed);
    if (failed)
        throw Error("cannot make the folder '" + folder.string() + "': " + failed.message(),
                    "a place that can be written to", {folder.string(), 0, 0}, "--out");
    results::require_writable(folder / "result.h5");
}

bool unsettled(const std::vector<model::Result>& runs) {
    std::size_t failures = 0;
    for (const model::Result& run : runs)
        failures += static_cast<std::size_t>(run.cost.network_failures);
    if (failures > 0)
        complain(
            fmt::format("lapheat: {} network solves did not converge; the result is not to be "
                        "trusted\n",
                        failures));
    return failures > 0;
}

void require_target(const std::filesystem::path& target, const char* option) {
    if (target.empty()) return;
    try {
        results::require_writable(target);
    } catch (const Error& error) {
        throw Error(error.what(), "a file in a folder that can be written to", error.place(),
                    option);
    }
}

namespace {

/// True if a result of another placement or cycle is there: names that differ only in what file
/// names do not tell ("a b" and "a_b") must not take each other's place.
bool another_run(const std::filesystem::path& file, const model::Result& result) {
    if (!std::filesystem::exists(file)) return false;
    try {
        const results::Hdf5Reader reader(file);
        return reader.label("/", "placement") != result.placement ||
               reader.label("/", "cycle") != result.cycle;
    } catch (const Error&) {
        return false;  // no result: a file of before, which is written anew
    }
}

}  // namespace

std::filesystem::path result_path(const std::filesystem::path& folder, const model::Result& result,
                                  std::set<std::string>& taken) {
    const std::string stem =
        results::path_word(result.placement) + "-" + results::path_word(result.cycle);
    std::string name = stem;
    for (int i = 2; another_run(folder / (name + ".h5"), result) || !taken.insert(name).second; ++i)
        name = fmt::format("{}-{}", stem, i);
    return folder / (name + ".h5");
}

std::optional<std::size_t> draws_of(const std::string& text) {
    constexpr std::size_t fewest = 20, most = 1'000'000;
    if (text.empty() || text == "0") return std::nullopt;
    if (text == "enough") return 0;
    std::size_t n = 0;
    const auto [end, failed] = std::from_chars(text.data(), text.data() + text.size(), n);
    if (failed != std::errc{} || end != text.data() + text.size() || n < fewest || n > most)
        throw Error("'" + text + "' is no number of draws",
                    "a whole number from 20 to 1000000, \"enough\", or 0 for none", {}, "--draws");
    return n;
}

std::size_t counted_draws(const std::string& text, const char* what) {
    const auto draws = draws_of(text);
    if (draws && *draws == 0)
        throw Error(fmt::format("{} has no end that is enough", what),
                    "a number of draws, such as 100", {}, "--draws");
    return draws.value_or(0);
}

void take(const HoldingRequest& request, const char* what, study::HoldingOptions& options) {
    if (!request.target.empty())
        options.target =
            option_value(request.target, units::Quantity::temperature_difference, "--margin");
    options.fluids = request.fluids;
    if (const std::size_t draws = counted_draws(request.draws, what)) options.draws = draws;
    options.series = static_cast<std::uint64_t>(request.series);
    options.threads = request.threads;
    options.cancel = &interrupted();
}

std::shared_ptr<const study::DrawTable> earlier_draws(
    const std::filesystem::path& folder, const std::vector<scenario::Scenario>& scenarios,
    std::uint64_t series) {
    const std::filesystem::path file = folder / draws_file;
    if (!std::filesystem::exists(file)) return nullptr;
    try {
        auto table = std::make_shared<study::DrawTable>(study::read_draws(file));
        return study::belongs(*table, scenarios, series) ? table : nullptr;
    } catch (const Error&) {
        return nullptr;  // written by another version, or not by us: it is written anew
    }
}

void print_certainty(const study::Comparison& c, const results::Style& style) {
    const auto show = [&](const results::TextTable& table) {
        if (!table.rows.empty()) print(results::render(table, style.table) + '\n');
    };
    show(study::certainty_table(c, style.units));
    show(study::cycle_certainty_table(c, style.units));
    show(study::driver_table(*c.certainty, style.units));
    show(study::measurement_table(*c.certainty, style.units));
    print_list(study::certainty_notes(*c.certainty, style.units), style);
    print("\n");
}

bool any_over(const std::vector<model::Result>& runs) {
    return std::any_of(runs.begin(), runs.end(), [](const model::Result& run) {
        return std::any_of(run.verdicts.begin(), run.verdicts.end(),
                           [](const model::Verdict& v) { return !v.holds(); });
    });
}

std::function<void(double)> moves(Progress& progress, std::size_t& shown, std::size_t index,
                                  std::size_t total) {
    return [&progress, &shown, index, total](double fraction) {
        const double all = (static_cast<double>(index) + fraction) /
                           static_cast<double>(std::max<std::size_t>(total, 1));
        const auto steps = static_cast<std::size_t>(1000 * std::clamp(all, 0.0, 1.0));
        if (steps <= shown) return;
        progress.add(steps - shown);
        shown = steps;
    };
}

}  // namespace lapheat::app
