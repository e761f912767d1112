#include "log_names.hpp"

#include <algorithm>
#include <array>

#include "lapheat/units/text.hpp"
#include "lapheat/units/units.hpp"
#include "log_fields.hpp"

namespace lapheat::scenario {
namespace {

using units::Quantity;
using S = Signal;

constexpr Range temperatures = between(220, 450);
constexpr std::string_view degrees = "degC degF K";
constexpr SignalEntry entries[] = {
    {S::speed, "speed", "road speed", Quantity::speed, between(0, 110), "km/h mph m/s",
     "vehicle speed|road speed|gps speed|vss|geschwindigkeit|vitesse|velocidad|velocit|скорост|"
     "speed -average -engine -motor -turbine -fan -wind -pump -idle -shaft -throttle -gear "
     "-converter "
     "-turbo -steering"},
    {S::engine_speed, "engine_speed", "engine speed", Quantity::angular_speed, between(0, 1600),
     "rev/min",
     "engine speed|engine rpm|rpm -fan -turbine -pump -wheel -output -input|revs|motordrehzahl|"
     "drehzahl|régime|regime moteur|обороты"},
    {S::coolant, "coolant", "coolant leaving the engine", Quantity::temperature, temperatures,
     degrees,
     "engine coolant -level -pressure -pump -fan -flow|coolant temp -radiator|"
     "coolant -level -pressure -pump -fan -flow -radiator|ect|clt|cts|water temp|engine water|"
     "kühlmittel|kuehlmittel|kühlwasser|refroidissement|refrigerante|охлажда"},
    {S::radiator_outlet, "radiator_outlet", "coolant leaving the radiator", Quantity::temperature,
     temperatures, degrees,
     "radiator out|radiator lower|lower hose|coolant radiator|radiator temp"},
    {S::transmission, "transmission", "transmission fluid, in the sump or the pan",
     Quantity::temperature, temperatures, degrees,
     "transmission temp|transmission fluid|transmission oil|gearbox temp|gearbox oil|trans temp|"
     "trans fluid|trans oil|tft|atf|getriebe"},
    {S::steering, "steering", "steering fluid", Quantity::temperature, temperatures, degrees,
     "steering temp|steering fluid|steering oil"},
    {S::engine_oil, "engine_oil", "engine oil", Quantity::temperature, temperatures, degrees,
     "oil temp -trans -transmission -gear -gearbox -steering -diff|öltemp|oeltemp|huile|масла"},
    {S::ambient, "ambient", "air outside the car", Quantity::temperature, between(220, 335),
     degrees,
     "ambient -pressure -light|outside "
     "-light|outdoor|oat|außen|aussen|extérieur|exterieur|окружающ"},
    {S::intake_air, "intake_air", "air into the engine", Quantity::temperature, temperatures,
     degrees,
     "intake air -flow -pressure|intake temp|inlet air -flow|charge air -flow -pressure|iat|ansaug|"
     "admission|впуск"},
    {S::air_flow, "air_flow", "mass of air into the engine", Quantity::mass_flow, between(0, 2),
     "g/s kg/h lb/min", "mass air|air flow -temp|airflow|air mass|maf|luftmasse"},
    {S::fuel_flow, "fuel_flow", "volume of fuel burnt", Quantity::volume_flow, between(0, 1e-4),
     "L/h gal/h",
     "fuel rate -average -total|fuel flow -average -total|"
     "fuel consumption -average -total -km -mpg|lph|kraftstoff"},
    {S::fuel_mass_flow, "fuel_mass_flow", "mass of fuel burnt", Quantity::mass_flow,
     between(0, 0.1), "g/s kg/h",
     "fuel rate -average -total|fuel flow -average -total|fuel mass -total|"
     "fuel consumption -average -total -km -mpg"},
    {S::manifold_pressure, "manifold_pressure", "intake manifold, absolute", Quantity::pressure,
     between(0, 6e5), "kPa psi bar",
     "manifold pressure|manifold absolute|intake pressure|saugrohr|map|boost"},
    {S::throttle, "throttle", "throttle's opening", Quantity::ratio, between(-0.1, 1.1), "%",
     "throttle -pedal -accelerator|tps|drossel|дроссел"},
    {S::pedal, "pedal", "accelerator pedal", Quantity::ratio, between(-0.1, 1.1), "%",
     "pedal -brake -clutch|accelerator|app|gaspedal"},
    {S::load, "load", "load as the engine's computer tells it", Quantity::ratio, between(0, 4), "%",
     "engine load|calculated load|absolute load|load"},
    {S::altitude, "altitude", "height above the sea", Quantity::distance, between(-500, 6000),
     "m ft", "altitude|elevation|alt|höhe|высота"},
    {S::latitude,
     "latitude",
     "of the track",
     Quantity::ratio,
     between(-90, 90),
     {},
     "latitude|lat|широта"},
    {S::longitude,
     "longitude",
     "of the track",
     Quantity::ratio,
     between(-180, 180),
     {},
     "longitude|lon|lng|долгота"},
    {S::gear,
     "gear",
     "forward gear",
     Quantity::ratio,
     between(-1, 12),
     {},
     "gear -temp -oil -ratio -box|gang"},
    {S::fan, "fan", "radiator fan, on or its duty", Quantity::ratio, between(0, 1.01), "%",
     "fan -temp -speed -rpm|lüfter"},
    {S::voltage, "voltage", "of the car's supply", Quantity::voltage, between(0, 60), "V",
     "voltage|battery|volts"},
};

/// Lower case of ASCII, Latin-1's letters and Cyrillic.
std::string in_small_letters(std::string_view text) {
    std::string out;
    for (std::size_t i = 0; i < text.size(); ++i) {
        const auto c = static_cast<unsigned char>(text[i]);
        const auto next = i + 1 < text.size() ? static_cast<unsigned char>(text[i + 1]) : 0U;
        if (c >= 'A' && c <= 'Z') {
            out += units::lower(text[i]);
        } else if (c == 0xC3 && next >= 0x80 && next <= 0x9E) {
            out += static_cast<char>(c), out += static_cast<char>(next + 0x20), ++i;
        } else if (c == 0xD0 && next >= 0x90 && next <= 0x9F) {
            out += static_cast<char>(c), out += static_cast<char>(next + 0x20), ++i;
        } else if (c == 0xD0 && next >= 0xA0 && next <= 0xAF) {
            out += static_cast<char>(0xD1), out += static_cast<char>(next - 0x20), ++i;
        } else {
            out += static_cast<char>(c);
        }
    }
    return out;
}

bool letter(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') ||
           static_cast<unsigned char>(c) >= 0x80U;
}

/// Words of a name; a capital behind a small letter begins a new one.
std::vector<std::string> words_in(std::string_view name) {
    std::vector<std::string> out;
    std::string word;
    const auto end = [&] {
        if (!word.empty()) out.push_back(in_small_letters(word));
        word.clear();
    };
    for (std::size_t i = 0; i < name.size(); ++i) {
        const char c = name[i];
        if (!letter(c)) {
            end();
            continue;
        }
        const bool capital = c >= 'A' && c <= 'Z';
        if (capital && i > 0 && name[i - 1] >= 'a' && name[i - 1] <= 'z') end();
        word += c;
    }
    end();
    return out;
}

/// Short words are abbreviations and must be there whole.
bool meets(const std::vector<std::string>& name, std::string_view word) {
    return std::ranges::any_of(name, [word](const std::string& part) {
        return word.size() <= 3 ? part == word : part.starts_with(word);
    });
}

template <class F>
void each_part(std::string_view text, char by, F&& f) {
    while (!text.empty()) {
        const std::size_t at = text.find(by);
        if (at != 0) f(text.substr(0, at));
        text = at == std::string_view::npos ? std::string_view{} : text.substr(at + 1);
    }
}

int score(const std::vector<std::string>& name, std::string_view alternatives) {
    int best = 0;
    each_part(alternatives, '|', [&](std::string_view alternative) {
        int met = 0;
        bool all = true;
        each_part(alternative, ' ', [&](std::string_view word) {
            const bool unwanted = word.front() == '-';
            if (unwanted) word.remove_prefix(1);
            const bool there = meets(name, word);
            all = all && there != unwanted;
            met += unwanted ? 0 : 1;
        });
        if (all) best = std::max(best, met);
    });
    return best;
}

}  // namespace

std::span<const SignalEntry> signals() { return entries; }

const SignalEntry& entry(Signal signal) {
    return *std::ranges::find(entries, signal, &SignalEntry::signal);
}

std::vector<NameMatch> matches(std::string_view name) {
    const std::vector<std::string> words = words_in(name);
    std::vector<NameMatch> out;
    for (const SignalEntry& e : entries) {
        // The registry's own name always counts.
        const int own = in_small_letters(unquoted(name)) == e.name ? 10 : 0;
        const int by_words = score(words, e.words);
        if (std::max(own, by_words) > 0) out.push_back({e.signal, std::max(own, by_words)});
    }
    std::ranges::stable_sort(out, std::ranges::greater{}, &NameMatch::score);
    return out;
}

bool tells_time(std::string_view name) {
    const std::vector<std::string> words = words_in(name);
    constexpr std::array<std::string_view, 17> known{
        "time",  "seconds", "second", "sec",          "timestamp", "stamp",
        "zeit",  "uhrzeit", "temps",  "tiempo",       "время",     "date",
        "epoch", "elapsed", "millis", "milliseconds", "ms"};
    // A word at the front or the back: "time of day", "GPS time", not "spark time advance".
    if (words.empty()) return false;
    return std::ranges::any_of(
        known, [&](std::string_view k) { return words.front() == k || words.back() == k; });
}

bool is_unit(std::string_view text) {
    std::string_view s = unquoted(text);
    if (s.size() >= 2 && (s.front() == '[' || s.front() == '('))
        s = unquoted(s.substr(1, s.size() - 2));
    if (s.empty() || s == "-" || s == "%") return true;
    if (s.size() > 12) return false;
    const std::string unit = log_unit(s);
    return unit != s || !units::describe(unit).empty();
}

NameAndUnit parted(std::string_view heading) {
    const std::string_view s = unquoted(heading);
    for (const auto& [open, close] : {std::pair{'[', ']'}, std::pair{'(', ')'}}) {
        if (!s.ends_with(close)) continue;
        const std::size_t at = s.rfind(open);
        if (at == std::string_view::npos) continue;
        const std::string_view inside = unquoted(s.substr(at + 1, s.size() - at - 2));
        if (open == '(' && !is_unit(inside)) continue;
        return {std::string{unquoted(s.substr(0, at))}, std::string{inside == "-" ? "" : inside}};
    }
    const std::size_t at = s.find_last_of(" _");
    if (at != std::string_view::npos && at > 0) {
        const std::string_view last = s.substr(at + 1);
        // Two letters at least: "pedal position D" is no unit of anything.
        if ((last.size() >= 2 || last == "%") && is_unit(last) && !is_unit(s.substr(0, at)) &&
            matches(last).empty() && !tells_time(last))
            return {std::string{unquoted(s.substr(0, at))}, std::string{last}};
    }
    return {std::string{s}, {}};
}

}  // namespace lapheat::scenario
