// A segment from a logger's file: the drive as it was.
#include "lapheat/scenario/log.hpp"
#include "read_cycle.hpp"

namespace lapheat::scenario {
namespace {

constexpr Key column_keys[] = {
    key::text("speed", "column of the road speed").nothing("by its name"),
    key::text("engine_speed", "column of the engine's speed").nothing("by its name"),
    key::text("ambient", "column of the air outside").nothing("by its name"),
    key::text("intake_air", "column of the intake air").nothing("by its name"),
    key::text("altitude", "column of the height above the sea").nothing("by its name")};
constexpr Table columns_table{"log-columns", "columns = { ... } in a segment of kind \"log\"",
                              "Columns of a log that its names do not tell.", column_keys};

constexpr Key log_keys[] = {
    key::text("file", "the logger's file, beside the cycle's"),
    key::table("columns", &columns_table, "where the names in the file do not tell")
        .nothing("by their names"),
    key::quantity("logged_ambient", Quantity::temperature, between(220, 335),
                  "in place of what the log says")
        .optional("as the log says")};

}  // namespace

constexpr Table log_segment{"log",
                            "",
                            "As it was driven: speed, height and air from a logger's file.",
                            log_keys,
                            {&compressor_table}};

std::optional<drive::Cycle> make_log(Reader& r, const SegmentContext& context) {
    LogOptions options;
    LogCycleOptions driven{.humidity = context.around.humidity, .sun = context.around.sun};
    const std::string file = r.text(log_segment["file"]);
    Reader columns = r.table(log_segment["columns"]);
    for (const Key& key : column_keys)
        if (auto column = columns.optional_text(key)) options.map[std::string{key.name}] = *column;
    driven.ambient = r.optional_quantity(log_segment["logged_ambient"]).value_or(0);
    context.own = {true, true};
    if (file.empty()) return std::nullopt;
    const std::filesystem::path from(r.place(log_segment["file"]).file);
    return r.attempt([&] {
        std::vector<std::string> notes;
        drive::Cycle cycle = cycle_of(read_log(from.parent_path() / file, options), driven, notes);
        for (const std::string& note : notes) r.assume(log_segment["file"], {note});
        return cycle;
    });
}

}  // namespace lapheat::scenario
