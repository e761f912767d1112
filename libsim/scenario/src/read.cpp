#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <unordered_set>
#include <variant>

#include "derive.hpp"
#include "fitted_keys.hpp"
#include "lapheat/model/assumptions.hpp"
#include "lapheat/model/model.hpp"
#include "read_parts.hpp"
#include "reader_session.hpp"
#include "toml_tree.hpp"

namespace lapheat::scenario {

namespace {

constexpr Word systems[] = {{"si", units::System::si, "metric"},
                            {"us", units::System::us, "as American cars are measured"}};
constexpr Key car_file_keys[] = {
    key::text("car", "its name"),
    key::text("placement", "where the coolers sit, in a few words"),
    key::text("summary", "a line for tables").otherwise(""),
    key::texts("cycles", "files that are driven, relative to the file that lists them")
        .nothing("none"),
    key::text("extends", "a file of which this says what differs").nothing("none"),
    key::choice("units", systems, "in which reports about it are shown where --units says none")
        .nothing("\"si\"")};
constexpr Table power_tables{"", "", "", {}, {&vehicle_tables, &engine_tables, &equipment_tables}};
constexpr Table cooling_tables{
    "", "", "", {}, {&fluid_tables, &core_tables, &fan_tables, &air_tables, &loop_tables}};
constexpr Table car_table{
    "car",
    "the whole file",
    "A car, or a placement that extends one.",
    car_file_keys,
    {&power_tables, &cooling_tables, &fault_tables, &fitted_tables, &short_tables}};

void read_cycles(Reader& root, const std::filesystem::path& folder,
                 const std::vector<std::filesystem::path>& asked, Problems& problems,
                 const DocumentNode& car, Scenario& out) {
    const bool drivable = problems.errors() == 0 && !holds_broken(car);
    std::vector<std::filesystem::path> files = asked;
    if (files.empty() && root.has(car_table["cycles"]))
        for (const std::string& name : root.texts(car_table["cycles"])) {
            // Relative to the file that lists them, which may be an extended one.
            const std::filesystem::path listed(root.place(car_table["cycles"]).file);
            files.push_back((listed.empty() ? folder : listed.parent_path()) / name);
        }
    else
        root.ignore(car_table["cycles"]);
    for (const std::filesystem::path& file : files) {
        const Document document = load(file, problems);
        FilePlace cold;
        out.cycles.push_back(read_cycle_document(document, out.car.vehicle, problems, drivable,
                                                 &out.files, &out.assumptions, &out.doubts, &cold));
        if (cold.line > 0 && !model::has_condenser(out.car))
            problems.error(cold, "air_conditioning",
                           "air conditioning, and no condenser in any stack of the car",
                           "{ heat = \"condenser\", ... } in the stack of an air path, or its "
                           "`condenser_cover`, or no air conditioning");
    }
}

/// Of the loop, core or fan that a warning speaks of.
FilePlace place_of(const Diagnostic& said, const model::Car& car, const FilePlace& whole) {
    const auto find = [&](const auto& entries) {
        const auto at = std::find_if(entries.begin(), entries.end(),
                                     [&](const auto& e) { return e.name == said.subject; });
        return at == entries.end() ? whole : at->place;
    };
    switch (about(said.code)) {
        case About::loop:
            return find(car.loops);
        case About::core:
            return find(car.cores);
        case About::fan:
            return find(car.fans);
        case About::air_path:
            return find(car.air);
        case About::whole:
            break;
    }
    return whole;
}

/// A fan that is switched where a thermostat feels, and goes off only below where that holds the
/// engine, runs for ever.
void question_switches(const model::Car& car, Problems& problems) {
    for (const model::FanEntry& fan : car.fans)
        for (const model::FanSwitch& s : fan.switches)
            for (const model::Loop& loop : car.loops)
                for (const model::Run& run : loop.runs)
                    for (const model::Part& part : run.parts) {
                        const auto* t = std::get_if<model::Thermostat>(&part.body);
                        if (t == nullptr || loop.name != s.loop || t->sensor != s.part ||
                            t->reversed || s.off > t->opens)
                            continue;
                        problems.warning(
                            fan.place, "fans." + fan.name + ".switches",
                            "off at " +
                                units::format(s.off, Quantity::temperature, units::System::si, 3) +
                                ", where the thermostat opens at " +
                                units::format(t->opens, Quantity::temperature, units::System::si,
                                              3) +
                                ": a warm engine never lets the fan stop",
                            "off above the thermostat", "see `lapheat help switch-temperature`");
                    }
}

/// Where a table says what an error of the room that uses it speaks of: the key's line, the
/// table's, or the file's.
FilePlace place_in(const DocumentNode& root, const std::string& table, const std::string& key,
                   const FilePlace& whole) {
    const DocumentNode* node = root.find(table);
    if (node == nullptr) return whole;
    const DocumentNode* value = node->find(key);
    const FilePlace& found = value != nullptr ? value->place : node->place;
    return found.line > 0 ? found : whole;
}

/// What the rooms that use the tables would refuse once a cycle is driven: told now, all of it.
void validate_for_errors(const model::Car& car, const Document& document, const FilePlace& whole,
                         Problems& problems) {
    const auto tell = [&](const char* table, const auto& validate) {
        try {
            validate();
        } catch (const Error& e) {
            const std::size_t point = e.key().rfind('.');
            const std::string key =
                point == std::string::npos ? e.key() : e.key().substr(point + 1);
            const std::string in = point == std::string::npos ? table : e.key().substr(0, point);
            problems.add({place_in(document.root, in, key, whole),
                          key.empty() ? in : in + "." + key,
                          e.what(),
                          e.expected(),
                          {},
                          Severity::error,
                          e.diagnostic()});
        }
    };
    tell("vehicle", [&] { drive::validate(car.vehicle); });
    tell("engine", [&] { heat::validate(car.engine); });
    tell("gearbox", [&] { heat::validate(car.transmission); });
    tell("steering", [&] { heat::validate(car.steering); });
}

/// Where the name stands that the model refuses; its table may be of another file.
FilePlace place_of_name(const DocumentNode& node, const Error& e) {
    if (e.found().empty()) return {};
    const auto quoted = [&](const DocumentNode::Entry& entry) {
        return entry.key == e.key() && entry.value.kind == DocumentNode::Kind::text &&
               entry.value.text == e.found();
    };
    for (const DocumentNode::Entry& entry : node.entries) {
        if (quoted(entry)) return entry.value.place;
        if (FilePlace found = place_of_name(entry.value, e); found.line > 0) return found;
    }
    for (const DocumentNode& item : node.items)
        if (FilePlace found = place_of_name(item, e); found.line > 0) return found;
    return {};
}

/// The model finds what only the whole can show; its error becomes one more problem, and what it
/// thinks unwise a warning at the loop it speaks of.
void compile_for_errors(const model::Car& car, const Document& document, const FilePlace& whole,
                        Problems& problems) {
    // A value that could not be read is told already.
    if (problems.errors() > 0 || holds_broken(document.root)) return;
    validate_for_errors(car, document, whole, problems);
    if (problems.errors() > 0) return;
    try {
        const auto model = model::compile(car);
        for (const Diagnostic& said : model::warnings(*model))
            problems.add({place_of(said, car, whole),
                          {},
                          words(said, units::System::si),
                          {},
                          {},
                          Severity::warning,
                          std::make_shared<const Diagnostic>(said)});
    } catch (const Error& e) {
        const FilePlace named = place_of_name(document.root, e);
        problems.add({named.line > 0           ? named
                      : e.place().file.empty() ? whole
                                               : e.place(),
                      e.key(),
                      e.what(),
                      e.expected(),
                      {},
                      Severity::error,
                      e.diagnostic()});
    }
}

}  // namespace

const Table& car_file() { return car_table; }

namespace {

std::optional<units::System> system_in(const DocumentNode& root) {
    const DocumentNode* said = root.find("units");
    if (said == nullptr || said->kind != DocumentNode::Kind::text) return std::nullopt;
    return units::system_named(said->text);
}

}  // namespace

std::optional<units::System> system_of(const std::filesystem::path& file) {
    // What is not a file, a pipe, can be read once only.
    std::error_code failed;
    if (!std::filesystem::is_regular_file(file, failed)) return std::nullopt;
    Problems told_by_who_reads_it;
    return system_in(load(file, told_by_who_reads_it).root);
}

std::optional<units::System> system_of(const std::vector<SourceFile>& files) {
    Problems told_when_they_were_read;
    for (const SourceFile& file : files)
        if (const auto system =
                system_in(toml_tree(file.text, file.path, told_when_they_were_read)))
            return system;
    return std::nullopt;
}

namespace {

/// Everything of a car but its cycles.
std::vector<FittedTogether> read_car(Reader& root, model::Car& car) {
    car.name = root.text(car_table["car"]);
    car.placement = root.text(car_table["placement"]);
    car.summary = root.text(car_table["summary"]);
    car.vehicle = read_vehicle(root);
    car.engine = read_engine_heat(root, car.vehicle);
    read_exhaust_levels(root, car.exhaust);
    car.transmission = read_transmission(root, car.vehicle);
    car.steering = read_steering(root);
    read_equipment(root, car);
    const Fluids fluids = read_fluids(root);
    for (RatingSheet& sheet : read_core_tables(root, fluids))
        car.cores.push_back(std::move(sheet.entry));
    car.fans = read_fans(root);
    car.air = read_air(root, car.cores, car.fans);
    const heat::EngineLumps lumps = read_engine_lumps(root, car.engine);
    car.loops = read_loops(root, fluids, car, lumps);
    car.links = read_links(root, lumps);
    std::vector<FittedTogether> fitted = read_fitted(root, car);
    car.faults = read_faults(root, car);
    return fitted;
}

/// What relations and places leave in doubt, by the keys that would state them. They are found by
/// reading the car once more, each such number marked by its key.
void note_open(const Tree& tree, const std::vector<SourceFile>& files, model::Car& car) {
    std::deque<OpenNumber> open;
    Problems problems;
    problems.keep(files);
    Reader root(tree.document, problems, &car_table);
    Access::session(root).known = &tree;
    Access::session(root).open = &open;
    model::Car marked;
    (void)read_car(root, marked);
    model::Car copy = car;
    const std::vector<model::CarAssumption> told = model::assumptions(copy),
                                            found = model::assumptions(marked);
    for (std::size_t i = 0; i < found.size(); ++i) {
        const auto key = std::find_if(open.begin(), open.end(), [&](const OpenNumber& n) {
            return n.path.c_str() == found[i].number->source;
        });
        const Assumed& number = *told.at(i).number;
        if (key == open.end() || !(number.high > number.low)) continue;
        std::string path = by_names(tree.document.root, key->path);
        // Circuits of one core have one key.
        if (std::any_of(car.assumed.begin(), car.assumed.end(),
                        [&](const model::AssumedNumber& a) { return a.key == path; }))
            continue;
        car.assumed.push_back({std::move(path), key->quantity, number.value, number.low,
                               number.high,
                               told[i].of + ": " + told[i].name + "; " + number.source});
    }
}

/// Every number that the files leave out: defaults of keys, and what relations leave in doubt.
void note_assumed(const Scenario& scenario, const Tree& tree, model::Car& car) {
    car.assumed.clear();
    for (const Number& n : scenario.numbers) {
        if (n.origin != Origin::assumed) continue;
        const bool ranged = std::isfinite(n.usual.low) && std::isfinite(n.usual.high);
        car.assumed.push_back({by_names(tree.document.root, n.path), n.quantity, n.value,
                               ranged ? n.usual.low : n.value, ranged ? n.usual.high : n.value,
                               n.why});
    }
    note_open(tree, scenario.files, car);
}

/// Keys that are left out and are no numbers, each once: what holds in their place.
void add_left_out(const std::vector<Assumption>& left_out, Scenario& out) {
    std::unordered_set<std::string_view> known;
    for (const Assumption& a : out.assumptions) known.insert(a.key);
    for (const Number& n : out.numbers) known.insert(n.path);
    std::vector<Assumption> fresh;
    for (const Assumption& a : left_out)
        if (known.insert(a.key).second) fresh.push_back(a);
    out.assumptions.insert(out.assumptions.end(), fresh.begin(), fresh.end());
}

/// A cycle, or nothing at all, where a car is due: said so, not by each key that it lacks.
void refuse_other_files(const Document& document, Problems& problems) {
    const DocumentNode& root = document.root;
    if (root.kind != DocumentNode::Kind::table || root.find("car") != nullptr) return;
    const std::string& file = root.place.file;
    if (root.entries.empty())
        problems.error({file, 0, 0}, "", "the file says nothing", "a car, or a placement of one");
    else if (root.find("segments") != nullptr)
        problems.error({file, 0, 0}, "", "a cycle, which is driven by a car",
                       "a car's or a placement's file; this one goes behind --cycle");
    problems.throw_if_any();
}

/// What was assumed of its cores, beside what the reader was told.
void note_core_assumptions(model::Car& car) {
    for (const model::CoreEntry& core : car.cores)
        for (const std::string& text : core.core.assumptions)
            car.assumptions.push_back({{}, core.name + ": " + text});
}

}  // namespace

Scenario read(const Document& document, const std::filesystem::path& folder,
              const std::vector<std::filesystem::path>& cycles, std::vector<SourceFile> kept) {
    Problems problems;
    problems.keep(std::move(kept));
    refuse_other_files(document, problems);
    const auto tree = std::make_shared<Tree>(Tree{with_fitted_keys(whole_car(document, problems))});
    problems.throw_if_any();
    Reader root(tree->document, problems, &car_table);
    Access::session(root).record = tree.get();
    Scenario out;
    out.files = document.files;
    out.tree = tree;
    model::Car& car = out.car;
    out.fitted = read_car(root, car);
    ignore_short(root);
    read_cycles(root, folder, cycles, problems, tree->document.root, out);
    for (const SourceFile& file : root.files())
        if (std::none_of(out.files.begin(), out.files.end(),
                         [&](const SourceFile& f) { return f.path == file.path; }))
            out.files.push_back(file);  // tables of the car itself
    root.ignore(car_table["extends"]);
    if (root.has(car_table["units"])) (void)root.choice<units::System>(car_table["units"]);
    root.finish();
    question_switches(car, problems);
    compile_for_errors(car, tree->document, root.place(), problems);
    problems.rename([&](const std::string& key) { return by_names(tree->document.root, key); });
    problems.throw_if_any();
    out.assumptions.insert(out.assumptions.begin(), root.assumptions().begin(),
                           root.assumptions().end());
    out.numbers = root.numbers();
    add_left_out(Access::session(root).left_out, out);
    out.doubts.insert(out.doubts.begin(), root.doubts().begin(), root.doubts().end());
    for (const Assumption& a : out.assumptions)
        car.assumptions.push_back({by_names(tree->document.root, a.key),
                                   a.value + (a.why.empty() ? "" : " (" + a.why + ")")});
    note_core_assumptions(car);
    note_assumed(out, *tree, car);
    for (const Problem& p : problems.sorted())
        if (p.severity == Severity::warning) out.warnings.push_back(p);
    return out;
}

model::Car car_with(const Scenario& scenario,
                    std::span<const std::pair<std::string, double>> numbers) {
    const Tree& tree = *scenario.tree;
    const std::unordered_map<std::string, double> changed(numbers.begin(), numbers.end());
    for (const auto& [path, value] : changed)
        if (tree.paths.count(path) == 0)
            throw std::logic_error("'" + path + "' is none of the car's numbers");
    Problems problems;
    Reader root(tree.document, problems, &car_table);
    Access::session(root).known = &tree;
    Access::session(root).changed = &changed;
    problems.keep(scenario.files);
    model::Car car;
    (void)read_car(root, car);
    problems.throw_if_any();
    car.assumptions = scenario.car.assumptions;
    car.assumed = scenario.car.assumed;
    return car;
}

Scenario read(const std::filesystem::path& file, const std::vector<std::filesystem::path>& cycles) {
    Problems problems;
    const Document document = load(file, problems);
    return read_loaded(document, std::move(problems), file.parent_path(), cycles);
}

Scenario read_loaded(const Document& document, Problems problems,
                     const std::filesystem::path& folder,
                     const std::vector<std::filesystem::path>& cycles) {
    if (document.root.kind == DocumentNode::Kind::broken) problems.throw_if_any();
    try {
        Scenario out = read(document, folder, cycles);
        problems.throw_if_any();
        return out;
    } catch (const Errors& e) {
        // Syntax and meaning together, so that a file is mended in one go.
        for (const Problem& p : e.problems()) problems.add(p);
        problems.throw_if_any();
        throw;
    }
}

}  // namespace lapheat::scenario
