// lapheat new: a car to start from.
#include <fmt/format.h>
#include <unistd.h>

#include <filesystem>

#include "commands.hpp"
#include "console.hpp"
#include "examples.hpp"
#include "lapheat/results/text_file.hpp"
#include "lapheat/scenario/scenario.hpp"
#include "new_questions.hpp"
#include "runs.hpp"

namespace lapheat::app {
namespace {

namespace fs = std::filesystem;

std::vector<NewFile> template_files() {
    std::vector<NewFile> out;
    for (const Example& example : examples())
        out.push_back({std::string(example.path), std::string(example.text)});
    return out;
}

/// Nobody's work is written over: all files are looked at before the first is written.
void refuse_taken(const fs::path& root, const std::vector<NewFile>& files) {
    for (const NewFile& file : files)
        if (fs::exists(root / file.path))
            throw Error("there is a file of that name already", "a folder that is new or empty",
                        {(root / file.path).string(), 0, 0});
}

void write_all(const fs::path& root, const std::vector<NewFile>& files) {
    refuse_taken(root, files);
    for (const NewFile& file : files) {
        const fs::path target = root / file.path;
        make_folder(target.parent_path());
        results::write_whole(target, file.text);
    }
}

/// The car that was just described, in every place.
int compare_new(const Common& common, const fs::path& root, const std::vector<NewFile>& files) {
    CompareRequest request;
    for (const NewFile& file : files)
        if (file.path.starts_with("placements/"))
            request.files.push_back((root / file.path).string());
    request.page = (root / "comparison.html").string();
    Common its = common;
    its.out = root / "results";
    its.units = scenario::system_of(root / "car.toml").value_or(units::System::si);
    print_wrapped(fmt::format("Driving {} cars like yours with the cooler in each of {} places; "
                              "Ctrl-C ends it with the answer so far.",
                              request.draws, request.files.size()),
                  style_of(common));
    print("\n");
    return compare(its, request);
}

}  // namespace

int make_new(const Common& common, const NewRequest& request) {
    const fs::path root(request.folder);
    const bool terminal = isatty(STDIN_FILENO) != 0 && isatty(STDOUT_FILENO) != 0;
    const bool asks = request.answers.empty() && terminal && !request.plain;
    // Before anybody is asked anything.
    if (asks) refuse_taken(root, files_of(NewCar::usual()));
    const std::string name = fs::absolute(root).lexically_normal().filename().string();
    const std::vector<NewFile> files = asks ? files_of(asked_car(name.empty() ? "my car" : name))
                                       : request.answers.empty()
                                           ? template_files()
                                           : files_of(answered_car(request.answers));
    write_all(root, files);
    const std::string next =
        "Next:\n  lapheat compare " + (root / "placements").string() + "/*.toml\n";
    if (common.quiet) return all_well;
    if (asks || !request.answers.empty()) {
        print("Your car is in " + root.string() +
              ": car.toml, and a placement for each place of the cooler.\n"
              "What you did not say is derived: lapheat car " +
              (root / "placements/front.toml").string() + "\n");
        if (asks && !request.ask_only) return compare_new(common, root, files);
        print(next);
    } else {
        print("A car to start from is in " + root.string() +
              ". Its data are invented: put yours in their place.\n"
              "  car.toml      the car: engine, gearbox, fluids, cores, fans, loops\n"
              "  placements/   what differs where the cooler sits elsewhere\n"
              "  cycles/       what is driven, and in what weather\n"
              "  faults/       the same car with something broken\n"
              "  event_day.toml  seven hours from a cold start to the last soak\n"
              "  hot_stop.toml   shut off hot at the top of a grade, and started again\n"
              "On a terminal, or with --answers FILE, it asks about your car instead.\n" +
              next);
    }
    return all_well;
}

}  // namespace lapheat::app
