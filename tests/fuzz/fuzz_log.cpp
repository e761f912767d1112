// What a logger wrote, and the drive that is made of it. A first line "#map signal=column" says a
// column by hand.
#include "harness.hpp"
#include "lapheat/scenario/log.hpp"

using namespace lapheat;

namespace {

void hold_channel(const scenario::Channel& channel) {
    fuzz::hold(channel.time.size() == channel.value.size(), "times and values differ in number");
    for (std::size_t i = 0; i < channel.time.size(); ++i) {
        fuzz::hold(std::isfinite(channel.time[i]) && std::isfinite(channel.value[i]),
                   "a sample that is no number");
        fuzz::hold(i == 0 || channel.time[i] > channel.time[i - 1], "times that do not ascend");
    }
    if (channel.time.empty()) return;
    (void)scenario::sampled(channel, {channel.time.front(), channel.time.back() + 1}, 10);
}

}  // namespace

int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    static const fuzz::MemoryFile file;
    if (size > 16384) return 0;
    std::string_view text = fuzz::text(data, size);
    scenario::LogOptions options;
    if (text.starts_with("#map ")) {
        const std::size_t end = std::min(text.find('\n'), text.size());
        const std::string_view line = text.substr(5, end - 5);
        const std::size_t sign = std::min(line.find('='), line.size());
        options.map[std::string(line.substr(0, sign))] =
            sign < line.size() ? line.substr(sign + 1) : "";
        text.remove_prefix(std::min(end + 1, text.size()));
    }
    file.hold(text);
    scenario::Log log;
    if (fuzz::refused([&] { log = scenario::read_log(file.path(), options); })) return 0;
    for (const scenario::Channel& channel : log.channels) hold_channel(channel);
    scenario::LogCycleOptions driven;
    driven.ambient = 300;
    if (log.duration > 200'000) return 0;
    (void)fuzz::refused([&] {
        std::vector<std::string> notes;
        const drive::Cycle cycle = scenario::cycle_of(log, driven, notes);
        if (fuzz::refused([&] { drive::validate(cycle); }))
            fuzz::broken("a log's drive that cannot be driven");
    });
    return 0;
}
