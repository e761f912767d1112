// What several tables share: numbers with a range, and the exhaust in sight.
#include <algorithm>

#include "read_parts.hpp"
#include "reader_session.hpp"

namespace lapheat::scenario {

void read_assumed(Reader& r, const Key& key, Assumed& number, std::string_view why) {
    if (!r.has(key)) {
        auto& session = Access::session(r);
        if (session.open != nullptr) {
            session.open->push_back({Access::path(r, key.name), key.quantity});
            number.source = session.open->back().path.c_str();
        }
        if (why.empty())
            r.ignore(key);
        else
            r.assume(key, {units::format(number.value, key.quantity, units::System::si),
                           std::string(why)});
        return;
    }
    const std::vector<double> given = r.quantities(key);
    if (given.size() != 1 && given.size() != 3) {
        if (r.sound()) r.error(key, "a value, or [value, low, high]");
        return;
    }
    number.value = given[0];
    number.two_deviations = false;
    if (const double half = r.take_doubt(key); half > 0) {
        if (given.size() == 3) {
            r.error(key, "a value with its doubt, or [value, low, high]");
            return;
        }
        number.low = number.value - half;
        number.high = number.value + half;
        number.two_deviations = true;
    } else if (given.size() == 3) {
        number.low = given[1];
        number.high = given[2];
        if (!(number.low <= number.value && number.value <= number.high))
            r.error(key, "[value, low, high] with low <= value <= high");
    }
    // A value alone that lies beyond the usual range says that the range is not this car's.
    number.low = std::min(number.low, number.value);
    number.high = std::max(number.high, number.value);
    number.given = true;
    number.source = "given in the scenario";
}

namespace {

using Part = heat::ExhaustPart;
constexpr Word exhaust_parts[] = {{"manifold", Part::manifold}, {"front_pipe", Part::front_pipe},
                                  {"catalyst", Part::catalyst}, {"mid_pipe", Part::mid_pipe},
                                  {"silencer", Part::silencer}, {"tail_pipe", Part::tail_pipe}};
constexpr Key exhaust_part_keys[] = {
    key::choice("exhaust_part", exhaust_parts, "the stretch of the exhaust in sight")
        .optional("by its place")};

}  // namespace

constexpr Table exhaust_part_table{"", "", "", exhaust_part_keys};

heat::ExhaustPart read_exhaust_part(Reader& r, heat::ExhaustPart usual) {
    const Key& key = exhaust_part_table["exhaust_part"];
    if (r.has(key)) return r.choice<Part>(key);
    r.ignore(key);
    return usual;
}

}  // namespace lapheat::scenario
