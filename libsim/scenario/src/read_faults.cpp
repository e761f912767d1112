// [[faults]]: what breaks, and when.
#include <numbers>

#include "read_parts.hpp"

namespace lapheat::scenario {
namespace {

using Q = Quantity;
using model::FaultKind;

std::vector<std::string> fan_names(const model::Car& car) {
    std::vector<std::string> out;
    for (const model::FanEntry& fan : car.fans) out.push_back(fan.name);
    return out;
}

/// Cores, and the combined ones by their common name.
std::vector<std::string> core_names(const model::Car& car) {
    std::vector<std::string> out;
    for (const model::CoreEntry& core : car.cores) {
        if (std::find(out.begin(), out.end(), core.whole()) == out.end())
            out.push_back(core.whole());
        if (!core.circuit_of.empty()) out.push_back(core.name);
    }
    return out;
}

std::vector<std::string> loop_names(const model::Car& car) {
    std::vector<std::string> out;
    for (const model::Loop& loop : car.loops) out.push_back(loop.name);
    return out;
}

/// Of several in that role the first; the model says it if there is none.
std::string coolant_loop(const model::Car& car) {
    for (const model::Loop& loop : car.loops)
        if (loop.role == model::LoopRole::coolant) return loop.name;
    return {};
}

template <class Body>
std::vector<std::string> part_names(const model::Car& car, const std::string& loop) {
    std::vector<std::string> out;
    for (const model::Loop& l : car.loops)
        if (l.name == loop)
            for (const model::Run& run : l.runs)
                for (const model::Part& part : run.parts)
                    if (std::holds_alternative<Body>(part.body)) out.push_back(part.name);
    return out;
}

constexpr Key fault_loop_keys[] = {
    key::reference("loop", "in which it happens").optional("the one in the role of coolant")};
constexpr Table fault_loop{"", "", "", fault_loop_keys};

void read_loop(Reader& r, const model::Car& car, model::Fault& out) {
    out.loop =
        r.optional_reference(fault_loop["loop"], loop_names(car)).value_or(coolant_loop(car));
}

constexpr Key fan_dead_keys[] = {key::reference("fan", "of those in [fans]")};
constexpr Table fan_dead{"fan_dead", "", "The fan stops; air still blows through it.",
                         fan_dead_keys};
void read_fan(Reader& r, const model::Car& car, model::Fault& out) {
    out.part = r.reference(fan_dead["fan"], fan_names(car));
}

constexpr Key thermostat_stuck_keys[] = {
    key::reference("thermostat", "of the loop").optional("all of the loop"),
    key::quantity("open", Q::ratio, fraction, "0 % shut to 100 %")};
constexpr Table thermostat_stuck{
    "thermostat_stuck", "", "Its valve stays where it is.", thermostat_stuck_keys, {&fault_loop}};
void read_thermostat(Reader& r, const model::Car& car, model::Fault& out) {
    read_loop(r, car, out);
    out.part = r.optional_reference(thermostat_stuck["thermostat"],
                                    part_names<model::Thermostat>(car, out.loop))
                   .value_or("");
    out.amount = r.quantity(thermostat_stuck["open"]);
}

constexpr Key slip_keys[] = {key::quantity("slip", Q::ratio, fraction, "of the speed, lost")};
constexpr Table belt_slip{"belt_slip",
                          "",
                          "Pump and belt-driven fan lose that share of speed.",
                          slip_keys,
                          {&fault_loop}};
void read_slip(Reader& r, const model::Car& car, model::Fault& out) {
    read_loop(r, car, out);
    out.amount = r.quantity(belt_slip["slip"]);
}

constexpr Key low_keys[] = {key::quantity("missing", Q::ratio, between(0, 0.6), "of the liquid")};
constexpr Table coolant_low{
    "coolant_low", "", "Air in the loop: a pump that draws air, part of the jacket dry.", low_keys};
void read_low(Reader& r, const model::Car& car, model::Fault& out) {
    out.loop = coolant_loop(car);
    out.amount = r.quantity(coolant_low["missing"]);
}

constexpr Key blocked_keys[] = {
    key::reference("core", "of those in [cores]"),
    key::quantity("blocked", Q::ratio, between(0, 0.95), "of its face")};
constexpr Table core_blocked{"core_blocked", "", "That share of its face passes no air.",
                             blocked_keys};
void read_blocked(Reader& r, const model::Car& car, model::Fault& out) {
    out.part = r.reference(core_blocked["core"], core_names(car));
    out.amount = r.quantity(core_blocked["blocked"]);
}

constexpr Key fouled_keys[] = {
    key::reference("core", "of those in [cores]"),
    key::quantity("fouling", Q::fouling_resistance, between(0, 0.01), "of the layer")};
constexpr Table core_fouled{"core_fouled", "", "A layer inside its tubes.", fouled_keys};
void read_fouled(Reader& r, const model::Car& car, model::Fault& out) {
    out.part = r.reference(core_fouled["core"], core_names(car));
    out.amount = r.quantity(core_fouled["fouling"]);
}

constexpr Key hose_collapsed_keys[] = {
    key::reference("hose", "of the loop"),
    key::quantity("lost", Q::ratio, between(0, 0.98), "of its bore's area")};
constexpr Table hose_collapsed{
    "hose_collapsed", "", "That share of its bore is gone.", hose_collapsed_keys, {&fault_loop}};
void read_hose(Reader& r, const model::Car& car, model::Fault& out) {
    read_loop(r, car, out);
    out.part = r.reference(hose_collapsed["hose"], part_names<model::Line>(car, out.loop));
    out.amount = r.quantity(hose_collapsed["lost"]);
}

constexpr Key cap_keys[] = {key::quantity("holds", Q::pressure, between(0, 5e5), "above ambient")};
constexpr Table cap_leaking{
    "cap_leaking", "", "The coolant boils sooner.", cap_keys, {&fault_loop}};
void read_cap(Reader& r, const model::Car& car, model::Fault& out) {
    read_loop(r, car, out);
    out.amount = r.quantity(cap_leaking["holds"]);
}

constexpr Key spark_keys[] = {key::quantity("angle", Q::angle, between(0, 0.7), "of the crank")};
constexpr Table spark_late{"spark_late", "", "More heat for the same power.", spark_keys};
void read_spark(Reader& r, const model::Car&, model::Fault& out) {
    out.amount = r.quantity(spark_late["angle"]) * 180 / std::numbers::pi;
}

constexpr Table lockup_lost{"lockup_lost", "", "The converter never locks."};
void read_nothing(Reader&, const model::Car&, model::Fault&) {}

struct FaultEntry {
    const Table* keys;
    FaultKind kind;
    void (*build)(Reader&, const model::Car&, model::Fault&);
};
constexpr FaultEntry fault_kinds[] = {
    {&fan_dead, FaultKind::fan_dead, read_fan},
    {&thermostat_stuck, FaultKind::thermostat_stuck, read_thermostat},
    {&belt_slip, FaultKind::belt_slip, read_slip},
    {&coolant_low, FaultKind::coolant_low, read_low},
    {&core_blocked, FaultKind::core_blocked, read_blocked},
    {&core_fouled, FaultKind::core_fouled, read_fouled},
    {&hose_collapsed, FaultKind::hose_collapsed, read_hose},
    {&cap_leaking, FaultKind::cap_leaking, read_cap},
    {&spark_late, FaultKind::spark_late, read_spark},
    {&lockup_lost, FaultKind::lockup_lost, read_nothing}};

constexpr Key fault_keys[] = {
    key::kind("kind", kinds_of<fault_kinds>, "what breaks"),
    key::quantity("begins", Q::time, not_negative, "after the start of the cycle").usual(0)};
constexpr Table fault_table{"faults", "[[faults]]",
                            "What breaks, and when. The report tells the time to each fluid's "
                            "limit; scenarios/faults has a file for each of the usual ones.",
                            fault_keys};

constexpr Key fault_file_keys[] = {key::tables("faults", &fault_table, "what breaks")};

}  // namespace

constexpr Table fault_tables{"", "", "", fault_file_keys};

std::vector<model::Fault> read_faults(Reader& root, const model::Car& car) {
    std::vector<model::Fault> out;
    for (Reader r : root.tables(fault_tables["faults"])) {
        model::Fault fault;
        fault.place = r.place();
        const FaultEntry& entry = r.kind(fault_table["kind"], fault_kinds);
        fault.kind = entry.kind;
        fault.begins = r.quantity(fault_table["begins"]);
        entry.build(r, car, fault);
        out.push_back(std::move(fault));
    }
    return out;
}

}  // namespace lapheat::scenario
