// A cycle's file, driven by the demonstration car.
#include "harness.hpp"
#include "lapheat/drive/trace.hpp"
#include "lapheat/scenario/scenario.hpp"

using namespace lapheat;

namespace {

const drive::Vehicle& vehicle() {
    static const drive::Vehicle car =
        scenario::read(LAPHEAT_SOURCE_DIR "/scenarios/short/placements/car_front.toml",
                       {LAPHEAT_SOURCE_DIR "/scenarios/cycles/highway_grade.toml"})
            .car.vehicle;
    return car;
}

}  // namespace

int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    static const fuzz::MemoryFile file;
    if (size > 4096) return 0;
    const std::string_view text = fuzz::text(data, size);
    if (text.find("extends") != std::string_view::npos) return 0;
    const drive::Vehicle& car = vehicle();
    file.hold(text);
    drive::Cycle cycle;
    if (fuzz::refused([&] { cycle = scenario::read_cycle(file.path(), car); })) return 0;
    fuzz::hold(cycle.size() >= 2, "a cycle without time");
    if (fuzz::refused([&] { drive::validate(cycle); }))
        fuzz::broken("a cycle that was read is none that can be driven");
    const drive::Totals totals = drive::totals(cycle);
    fuzz::hold(std::isfinite(totals.distance) && std::isfinite(totals.duration), "totals");
    if (cycle.size() > 20'000) return 0;
    (void)fuzz::refused([&] {
        const drive::Trace trace = drive::backward(car, cycle);
        for (const double watts : trace.engine_power)
            fuzz::hold(std::isfinite(watts), "an engine's power that is no number");
    });
    return 0;
}
