// lapheat new: a car to start from.
#include <unistd.h>

#include <filesystem>

#include "commands.hpp"
#include "console.hpp"
#include "examples.hpp"
#include "lapheat/results/text_file.hpp"
#include "new_questions.hpp"
#include "runs.hpp"

namespace lapheat::app {

int make_new(const Common& common, const NewRequest& request) {
    namespace fs = std::filesystem;
    const fs::path root(request.folder);
    const bool terminal = isatty(STDIN_FILENO) != 0 && isatty(STDOUT_FILENO) != 0;
    const bool questioned = !request.answers.empty() || (terminal && !request.plain);
    std::vector<NewFile> files;
    if (questioned) {
        if (request.answers.empty())
            print(
                "A few questions; enter takes what stands in brackets, ? leaves it out where it\n"
                "can be derived. Quantities with their unit, as you say them.\n");
        files = questioned_car(request.answers, request.answers.empty());
    } else {
        for (const Example& example : examples())
            files.push_back({std::string(example.path), std::string(example.text)});
    }
    // Nobody's work is written over: all files are looked at before the first is written.
    for (const NewFile& file : files)
        if (fs::exists(root / file.path))
            throw Error("there is a file of that name already", "a folder that is new or empty",
                        {(root / file.path).string(), 0, 0});
    for (const NewFile& file : files) {
        const fs::path target = root / file.path;
        make_folder(target.parent_path());
        results::write_whole(target, file.text);
    }
    const std::string next =
        "Next:\n  lapheat compare " + (root / "placements").string() + "/*.toml\n";
    if (common.quiet) return all_well;
    if (questioned)
        print("Your car is in " + root.string() +
              ": car.toml, and a placement for each place of the cooler.\n"
              "What you did not say is derived: lapheat car " +
              (root / "car.toml").string() + "\n" + next);
    else
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
    return all_well;
}

}  // namespace lapheat::app
