// A segment from a table of speed against time.
#include "read_cycle.hpp"

namespace lapheat::scenario {
namespace {

using Q = Quantity;

constexpr Column columns[] = {
    {.name = "time", .quantity = Q::time, .range = not_negative, .increasing = true},
    {.name = "speed", .quantity = Q::speed, .range = not_negative},
    {.name = "grade", .quantity = Q::ratio, .range = between(-0.5, 0.5), .required = false},
    {.name = "altitude", .quantity = Q::length, .required = false},
    {.name = "ambient", .quantity = Q::temperature, .required = false},
    {.name = "humidity", .quantity = Q::ratio, .range = fraction, .required = false},
    {.name = "sun", .quantity = Q::heat_flux, .range = not_negative, .required = false},
    {.name = "wind", .quantity = Q::speed, .required = false},
    {.name = "steering_angle", .quantity = Q::angle, .required = false},
    {.name = "lateral_acceleration", .quantity = Q::acceleration, .required = false},
    {.name = "ac_demand", .quantity = Q::ratio, .range = fraction, .required = false},
    {.name = "held_throttle", .quantity = Q::ratio, .range = fraction, .required = false},
    {.name = "trailer_mass", .quantity = Q::mass, .range = not_negative, .required = false},
    {.name = "engine_on", .quantity = Q::ratio, .required = false},
    {.name = "gear", .quantity = Q::ratio, .required = false},
    {.name = "selector",
     .quantity = Q::ratio,
     .required = false,
     .help = "0 park, 1 reverse, 2 neutral, 3 drive"}};

constexpr Key expected_keys[] = {
    key::quantity("duration", Q::time, positive, "of the whole table").nothing("not compared"),
    key::quantity("distance", Q::length, positive, "of the whole table").nothing("not compared"),
    key::quantity("mean_speed", Q::speed, positive, "of the whole table").nothing("not compared"),
    key::quantity("maximum_speed", Q::speed, positive, "of the whole table")
        .nothing("not compared"),
    key::quantity("tolerance", Q::ratio, positive, "beyond which a difference is a warning")
        .usual(0.005)};
constexpr Table expected_table{"expected", "expected = { ... } in a segment of kind \"table\"",
                               "Totals to hold the table against; what differs is a warning.",
                               expected_keys};

constexpr Key table_keys[] = {
    key::columns("table", columns,
                 "speed against time, and any of the other columns; in the file or as CSV"),
    key::text("schedule",
              "\"UDDS\", \"HWFET\", \"US06\" or \"WLTC class 3b\": published totals to hold it "
              "against; what differs is a warning")
        .nothing("none"),
    key::table("expected", &expected_table, "totals of your own").nothing("none")};

double value_or_none(Reader& r, const Key& key) { return r.optional_quantity(key).value_or(0); }

drive::ExpectedTotals read_expected(Reader& r) {
    drive::ExpectedTotals expected;
    expected.duration = value_or_none(r, expected_table["duration"]);
    expected.distance = value_or_none(r, expected_table["distance"]);
    expected.mean_speed = value_or_none(r, expected_table["mean_speed"]);
    expected.maximum_speed = value_or_none(r, expected_table["maximum_speed"]);
    expected.tolerance = r.quantity(expected_table["tolerance"]);
    return expected;
}

}  // namespace

constexpr Table table_segment{
    "table", "", "From a table of speed against time.", table_keys, {&compressor_table}};

std::optional<drive::Cycle> make_table(Reader& r, const SegmentContext& context) {
    const Key &key = table_segment["table"], &schedule = table_segment["schedule"],
              &expected = table_segment["expected"];
    const Columns table = r.columns(key);
    context.own = {table.has("altitude"), table.has("ambient")};
    std::map<std::string, std::vector<double>> map;
    for (const Column& c : columns)
        if (table.has(c.name)) map[std::string(c.name)] = table[c.name];
    auto cycle = r.attempt([&] { return drive::from_columns(r.name(), map, context.around); });
    if (!cycle) {
        r.ignore(schedule);
        r.ignore(expected);
        return cycle;
    }
    if (r.has(schedule)) {
        const std::string name = r.text(schedule);
        const auto differences = r.attempt(
            [&] { return drive::compare_totals(*cycle, drive::regulatory_totals(name)); });
        if (differences)
            for (const std::string& line : *differences) r.warn(key, "the totals of " + name, line);
    }
    if (r.has(expected)) {
        Reader e = r.table(expected);
        for (const std::string& line : drive::compare_totals(*cycle, read_expected(e)))
            r.warn(key, "the totals that are expected", line);
    }
    return cycle;
}

}  // namespace lapheat::scenario
