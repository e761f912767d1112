// lapheat new: a car to start from.
#include <filesystem>

#include "commands.hpp"
#include "console.hpp"
#include "examples.hpp"
#include "lapheat/results/text_file.hpp"
#include "runs.hpp"

namespace lapheat::app {

int make_new(const Common& common, const std::string& folder) {
    namespace fs = std::filesystem;
    const fs::path root(folder);
    // Nobody's work is written over: all files are looked at before the first is written.
    for (const Example& example : examples())
        if (fs::exists(root / example.path))
            throw Error("there is a file of that name already", "a folder that is new or empty",
                        {(root / example.path).string(), 0, 0});
    for (const Example& example : examples()) {
        const fs::path target = root / example.path;
        make_folder(target.parent_path());
        results::write_text(target, example.text);
    }
    if (!common.quiet)
        print("A car to start from is in " + root.string() +
              ". Its data are invented: put yours in their place.\n"
              "  car.toml      the car: engine, gearbox, fluids, cores, fans, loops\n"
              "  placements/   what differs where the cooler sits elsewhere\n"
              "  cycles/       what is driven, and in what weather\n"
              "  faults/       the same car with something broken\n"
              "  event_day.toml  seven hours from a cold start to the last soak\n"
              "Next:\n  lapheat compare " +
              (root / "placements").string() + "/*.toml\n");
    return all_well;
}

}  // namespace lapheat::app
