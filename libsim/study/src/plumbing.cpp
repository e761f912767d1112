#include "lapheat/study/plumbing.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "lapheat/hydraulics/parts.hpp"
#include "lapheat/model/model.hpp"
#include "words.hpp"

namespace lapheat::study {
namespace {

using model::Part;
using units::Quantity;

double of_area(double area) { return std::sqrt(area * 4 / std::numbers::pi); }

struct Lister {
    std::vector<PlumbingItem>& out;
    const model::Loop& loop;
    double allowance;
    units::System system;

    void add(const char* what, const Part& part, double diameter, double length, int count,
             std::string note = {}) const {
        out.push_back({what, loop.name, part.name,
                       diameter > 0 ? hydraulics::size_as_sold(diameter) : "", length, count,
                       std::move(note)});
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
        if (use == hydraulics::LineUse::suction) also("must not collapse under suction");
        if (line.rated_pressure > 0)
            also("rated " + say(line.rated_pressure, Quantity::pressure, system));
        if (run.closed) also("capped");
        add(line.hose ? "hose" : "tube", part, line.inner_diameter,
            line.length * (1 + (line.hose ? allowance : 0)), 1, note);
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
        const Lister list{out, loop, allowance, system};
        for (const model::Run& run : loop.runs) {
            for (std::size_t i = 0; i < run.parts.size(); ++i) {
                const Part& part = run.parts[i];
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
            if (run.closed)
                out.push_back({"cap", loop.name, run.name, "", 0, 2, "both outlets capped"});
        }
        if (loop.cap_pressure > 0)
            out.push_back({"pressure cap", loop.name, "", "", 0, 1,
                           say_number(loop.cap_pressure / 1e5) + " bar, " +
                               say_number(loop.cap_pressure / 6894.757) + " psi"});
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
            return o.what == item.what && o.size == item.size;
        });
        if (it == out.end()) {
            out.push_back({item.what, "", "", item.size, item.length, item.count, ""});
            continue;
        }
        it->length += item.length;
        it->count += item.count;
    }
    return out;
}

}  // namespace lapheat::study
