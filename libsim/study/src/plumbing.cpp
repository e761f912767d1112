#include "lapheat/study/plumbing.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "lapheat/hydraulics/parts.hpp"
#include "lapheat/model/model.hpp"
#include "lapheat/units/constants.hpp"
#include "lapheat/units/spellings.hpp"
#include "words.hpp"

namespace lapheat::study {
namespace {

using model::Part;
using units::Quantity;

double of_area(double area) { return std::sqrt(area * 4 / std::numbers::pi); }

/// What a part must bear, and the hose sold for it.
struct Class {
    double pressure = 0, temperature = 0;  ///< Pa above ambient, K
    const char* standard = "";
};

constexpr double oil_return_pressure = 10e5;  // Pa where the file says nothing; common practice
constexpr double oil_hose_heat = 423.15;      // K, what oil hose is sold for; common practice

Class class_of(const model::Car& car, const model::Loop& loop, hydraulics::LineUse use) {
    using hydraulics::LineUse;
    Class out;
    out.temperature = model::limit_temperature(loop.limits, loop.fluid, loop.cap_pressure, 101325);
    if (use == LineUse::coolant) {
        out.pressure = loop.cap_pressure;
        out.standard = "coolant hose (SAE J20)";
        return out;
    }
    out.temperature = std::max(out.temperature, oil_hose_heat);
    double relief = 0;
    bool feed = false;
    for (const model::Run& run : loop.runs)
        for (const model::Part& part : run.parts) {
            if (const auto* pump = std::get_if<model::FlowSource>(&part.body))
                relief = std::max(relief, pump->relief_pressure * (1 + pump->relief_override));
            feed = feed || std::holds_alternative<model::CoolerFeed>(part.body);
        }
    if (use == LineUse::pressure) {
        out.pressure = relief;
        out.standard = "steering pressure hose (SAE J188), crimped";
    } else if (feed) {
        out.pressure = std::max(car.transmission.cooler_pressure, oil_return_pressure);
        out.standard = "transmission cooler hose (SAE J1532)";
    } else {
        out.pressure = loop.return_limit > 0 ? loop.return_limit : oil_return_pressure;
        out.standard = "oil return hose (SAE J189)";
    }
    return out;
}

/// "-6" hose is sold with two bores: by its bore in sixteenths, or to fit tube of that size (wire
/// braid with a fabric cover, SAE J517 100R5, from memory). Empty where the two agree or none is.
std::string other_bore(double bore, units::System system) {
    struct SoldBore {
        int dash;
        double bore;  ///< m
    };
    constexpr SoldBore tube_sized[] = {{4, 0.0048},  {5, 0.0064},  {6, 0.0079},  {8, 0.0103},
                                       {10, 0.0127}, {12, 0.0159}, {16, 0.0222}, {20, 0.0286}};
    for (const SoldBore& s : tube_sized)
        if (std::abs(s.dash * constants::inch / 16 - bore) < 0.0004)
            return fmt::format("ask for the bore: -{} sized to fit tube (100R5) has only {}",
                               s.dash, units::bore_as_sold(s.bore, system));
    return {};
}

struct Lister {
    std::vector<PlumbingItem>& out;
    const model::Loop& loop;
    double allowance;
    units::System system;
    Class duty;  ///< of what is being added

    void add(const char* what, const Part& part, double diameter, double length, int count,
             std::string note = {}) const {
        PlumbingItem& item = out.emplace_back();
        item.what = what;
        item.loop = loop.name;
        item.part = part.name;
        item.size = diameter > 0 ? units::size_as_sold(diameter, system) : "";
        item.length = length;
        item.count = count;
        item.pressure = duty.pressure;
        item.temperature = duty.temperature;
        item.note = std::move(note);
    }

    void counted(const char* what, const std::string& part, int count, std::string note) const {
        Part named;
        named.name = part;
        add(what, named, 0, 0, count, std::move(note));
    }

    /// Parts beside a line that have ports of their own.
    static bool has_ports(const model::Run& run, std::size_t i, int step) {
        const auto n = static_cast<std::ptrdiff_t>(i) + step;
        if (n < 0 || n >= static_cast<std::ptrdiff_t>(run.parts.size())) return true;
        const auto& body = run.parts[static_cast<std::size_t>(n)].body;
        return !std::holds_alternative<model::Line>(body) &&
               !std::holds_alternative<model::Fitting>(body);
    }

    void line(const model::Run& run, std::size_t i, const model::Line& line) const {
        const Part& part = run.parts[i];
        std::string note;
        if (line.bends > 0)
            note = say_number(line.bends) + " bends of " + say_number(line.bend_angle) +
                   " degrees, radius " +
                   say_length(line.bend_radius_ratio * line.inner_diameter, system);
        const auto also = [&](const std::string& text) {
            note += (note.empty() ? "" : "; ") + text;
        };
        const auto use = model::line_use(loop, run, i);
        if (use == hydraulics::LineUse::pressure) also("for the pump's relief pressure");
        if (line.hose && use != hydraulics::LineUse::coolant)
            if (const std::string bore = other_bore(line.inner_diameter, system); !bore.empty())
                also(bore);
        if (use == hydraulics::LineUse::suction) also("must not collapse under suction");
        if (line.rated_pressure > 0)
            also("rated " + say(line.rated_pressure, Quantity::pressure, system));
        if (run.closed) also("capped");
        add(line.hose ? "hose" : "tube", part, line.inner_diameter,
            line.length * (1 + (line.hose ? allowance : 0)), 1, note);
        out.back().standard = line.hose ? duty.standard : "tube, seamless steel or copper-nickel";
        const int ports = has_ports(run, i, -1) + has_ports(run, i, +1);
        const bool oil = use != hydraulics::LineUse::coolant;
        if (!line.hose) {
            if (oil && ports > 0) add("tube nut", part, line.inner_diameter, 0, ports);
            return;
        }
        if (use == hydraulics::LineUse::pressure) {
            add("crimped hose end", part, line.inner_diameter, 0, 2);
            return;
        }
        add("clamp", part, line.inner_diameter, 0, 2);
        if (oil && ports > 0) add("barbed hose end", part, line.inner_diameter, 0, ports);
    }
};

}  // namespace

std::vector<PlumbingItem> plumbing(const model::Car& car, double allowance, units::System system) {
    std::vector<PlumbingItem> out;
    for (const model::Loop& loop : car.loops) {
        Lister list{out, loop, allowance, system, {}};
        for (const model::Run& run : loop.runs) {
            for (std::size_t i = 0; i < run.parts.size(); ++i) {
                const Part& part = run.parts[i];
                list.duty = class_of(car, loop, model::line_use(loop, run, i));
                if (const auto* line = std::get_if<model::Line>(&part.body))
                    list.duty.pressure = std::max(list.duty.pressure, line->rated_pressure);
                if (const auto* line = std::get_if<model::Line>(&part.body))
                    list.line(run, i, *line);
                else if (const auto* fitting = std::get_if<model::Fitting>(&part.body))
                    list.add(fitting->what.c_str(), part, fitting->diameter, 0,
                             std::max(1, static_cast<int>(std::lround(fitting->count))));
                else if (const auto* r = std::get_if<model::Restriction>(&part.body))
                    list.add(r->filter ? "filter" : "", part, 0, 0, r->filter ? 1 : 0);
                else if (const auto* t = std::get_if<model::Thermostat>(&part.body))
                    list.add(t->reversed ? "thermal bypass valve" : "thermostat", part,
                             of_area(t->open_area), 0, 1,
                             "opens at " + say(t->opens, Quantity::temperature, system));
                else if (const auto* v = std::get_if<model::Valve>(&part.body))
                    list.add("valve", part, of_area(v->open_area), 0, 1);
                else if (const auto* c = std::get_if<model::CheckValve>(&part.body))
                    list.add(
                        c->cracking_pressure > 0 ? "relief valve" : "check valve", part,
                        c->diameter, 0, 1,
                        c->cracking_pressure > 0
                            ? "opens at " + say(c->cracking_pressure, Quantity::pressure, system)
                            : "");
            }
            if (run.closed) list.counted("cap", run.name, 2, "both outlets capped");
        }
        if (loop.cap_pressure > 0) {
            list.duty = {loop.cap_pressure, 0, ""};
            list.counted("pressure cap", "", 1,
                         system == units::System::us
                             ? say(loop.cap_pressure, Quantity::pressure, system)
                             : say_number(loop.cap_pressure / 1e5) + " bar");
        }
    }
    out.erase(std::remove_if(out.begin(), out.end(),
                             [](const PlumbingItem& item) { return item.count == 0; }),
              out.end());
    return out;
}

std::vector<PlumbingItem> plumbing_totals(const std::vector<PlumbingItem>& items) {
    std::vector<PlumbingItem> out;
    for (const PlumbingItem& item : items) {
        auto it = std::find_if(out.begin(), out.end(), [&](const PlumbingItem& o) {
            return o.what == item.what && o.size == item.size && o.standard == item.standard &&
                   o.pressure == item.pressure && o.temperature == item.temperature;
        });
        if (it == out.end()) {
            out.push_back(item);
            out.back().loop = out.back().part = out.back().note = "";
            continue;
        }
        it->length += item.length;
        it->count += item.count;
    }
    return out;
}

}  // namespace lapheat::study
