#include "new_phrases.hpp"

#include <algorithm>
#include <cctype>
#include <sstream>

#include "lapheat/units/text.hpp"
#include "plain_words.hpp"

namespace lapheat::app {
namespace {

using scenario::Key;

constexpr std::size_t longest_piece = 4;  // words: "1 1/4 in", "330 cu in"

bool digit(char c) { return std::isdigit(static_cast<unsigned char>(c)) != 0; }
bool letter(char c) { return std::isalpha(static_cast<unsigned char>(c)) != 0; }
bool starts_number(std::string_view word) {
    return !word.empty() && (digit(word[0]) || (word[0] == '.' && word.size() > 1));
}

/// The character between two words, where it is none of theirs: 'x' of "2x12", '-' of "4-speed".
bool parts_words(std::string_view text, std::size_t at) {
    const char c = text[at], before = at > 0 ? text[at - 1] : ' ',
               behind = at + 1 < text.size() ? text[at + 1] : ' ';
    if (c == ',') return !(digit(before) && digit(behind));
    if (c == '-') return digit(before) && letter(behind);
    if (c == 'x' || c == 'X') return digit(before) && digit(behind);
    return c == ';' || c == '(' || c == ')';
}

/// "V-8" is one word, "4-speed" two; a comma is a word of its own.
std::vector<std::string> words_in(std::string_view said) {
    std::string text;
    for (std::size_t i = 0; i < said.size(); ++i) {
        const bool in_engine = said[i] == '-' && i > 0 && letter(said[i - 1]) &&
                               (i < 2 || !letter(said[i - 2])) && i + 1 < said.size() &&
                               digit(said[i + 1]);
        if (said.substr(i).starts_with("\u00d7"))
            text += " x ", ++i;
        else if (said[i] == '@')
            text += " at ";
        else if (in_engine)
            continue;
        else if (parts_words(said, i))
            text += said[i] == '-' ? " " : said[i] == 'x' || said[i] == 'X' ? " x " : " , ";
        else
            text += said[i];
    }
    std::istringstream in(text);
    std::vector<std::string> out;
    for (std::string word; in >> word;) out.push_back(word);
    return out;
}

bool says_nothing(const std::string& word) {
    constexpr std::string_view known[] = {
        ",",      "a",         "an",     "the",     "and",     "with",     "of",     "x",
        "engine", "motor",     "petrol", "making",  "gearbox", "box",      "each",   "electric",
        "fan",    "fans",      "blades", "about",   "claimed", "claims",   "by",     "speed",
        "gas",    "overdrive", "gears",  "forward", "trans",   "gasoline", "inline", "straight"};
    const std::string low = units::lowered(word);
    return std::find(std::begin(known), std::end(known), low) != std::end(known);
}

bool names_a_year(const std::string& word) {
    return word.size() == 4 && std::all_of(word.begin(), word.end(), digit) && word >= "1900" &&
           word <= "2100";
}

class Phrase {
  public:
    Phrase(std::span<const Slot> slots, std::string_view said)
        : slots_(slots), words_(words_in(said)) {}

    Reading read() {
        while (at_ < words_.size() && reading_.wrong.empty())
            if (!(take_speed() || take_redline() || take_quantity() || take_count() ||
                  take_boost() || take_choice() || take_year() || take_bare()))
                pass();
        return std::move(reading_);
    }

  private:
    [[nodiscard]] bool open(const Slot& slot) const {
        return std::none_of(reading_.said.begin(), reading_.said.end(),
                            [&](const Said& s) { return s.path == slot.path; });
    }
    [[nodiscard]] const Slot* open(std::string_view key) const {
        for (const Slot& slot : slots_)
            if (slot.key.name == key && open(slot)) return &slot;
        return nullptr;
    }
    [[nodiscard]] std::string piece(std::size_t from, std::size_t count) const {
        std::string out;
        for (std::size_t i = from; i < std::min(from + count, words_.size()); ++i)
            out += (out.empty() ? "" : " ") + words_[i];
        return out;
    }
    void keep(const Slot& slot, Answer answer, std::size_t words) {
        reading_.said.push_back({slot.path, std::move(answer)});
        at_ += words;
    }

    /// The longest piece from `from` on that is a value of the slot's quantity.
    [[nodiscard]] std::size_t quantity_from(const Slot& slot, std::size_t from) const {
        if (slot.key.type != Key::Type::quantity || from >= words_.size() ||
            !starts_number(words_[from]))
            return 0;
        for (std::size_t n = std::min(longest_piece, words_.size() - from); n > 0; --n)
            if (words_[from + n - 1] != "," && wrong(slot.key, piece(from, n)).empty()) return n;
        return 0;
    }

    /// A speed behind a word: "at 5200 rpm", "redline 6000".
    bool take_behind(const char* word, const char* key) {
        const std::string low = units::lowered(words_[at_]);
        const Slot* slot = low == word ? open(key) : nullptr;
        if (slot == nullptr || at_ + 1 == words_.size()) return false;
        if (const std::size_t n = quantity_from(*slot, at_ + 1); n > 0) {
            keep(*slot, {piece(at_ + 1, n)}, n + 1);
            return true;
        }
        const Answer answer = understood(slot->key, words_[at_ + 1]);
        if (!wrong(slot->key, answer.text).empty()) return false;
        keep(*slot, answer, 2);
        return true;
    }
    bool take_speed() { return take_behind("at", "peak_power_speed"); }
    bool take_redline() { return take_behind("redline", "redline"); }

    bool take_quantity() {
        for (const Slot& slot : slots_) {
            if (slot.key.quantity == units::Quantity::angular_speed || !open(slot)) continue;
            const std::size_t n = quantity_from(slot, at_);
            if (n == 0) continue;
            keep(slot, {piece(at_, n)}, n);
            return true;
        }
        return false;
    }

    /// "two", "V8", "4 speed", "2 x": a bare number alone could be anything.
    bool take_count() {
        for (const Slot& slot : slots_) {
            if (slot.key.type != Key::Type::integer || !open(slot)) continue;
            for (std::size_t n : {2, 1}) {
                if (at_ + n > words_.size() || words_[at_ + n - 1] == ",") continue;
                const std::string said = piece(at_, n);
                const bool before_another =
                    at_ + 1 < words_.size() && starts_number(words_[at_ + 1]);
                const bool bare = n == 1 && starts_number(said) && !before_another;
                const bool times = n == 2 && units::lowered(words_[at_ + 1]) == "x";
                const Answer answer = understood(slot.key, times ? words_[at_] : said);
                if (bare || !wrong(slot.key, answer.text).empty()) continue;
                keep(slot, answer, n);
                return true;
            }
        }
        return false;
    }

    bool take_boost() {
        constexpr std::string_view known[] = {"turbo", "turbocharged", "supercharged",
                                              "supercharger", "boosted"};
        const Slot* slot = open("boosted");
        if (slot == nullptr || std::find(std::begin(known), std::end(known),
                                         units::lowered(words_[at_])) == std::end(known))
            return false;
        keep(*slot, {"true"}, 1);
        return true;
    }

    bool take_choice() {
        for (const Slot& slot : slots_) {
            if (slot.key.type != Key::Type::choice || !open(slot)) continue;
            for (std::size_t n = std::min(longest_piece, words_.size() - at_); n > 0; --n) {
                const std::string said = piece(at_, n);
                if (starts_number(said)) continue;
                const Answer answer = understood(slot.key, said);
                if (!wrong(slot.key, answer.text).empty()) continue;
                keep(slot, answer, n);
                return true;
            }
        }
        return false;
    }

    bool take_year() {
        if (!names_a_year(words_[at_])) return false;
        if (open("displacement") != nullptr) {
            reading_.wrong = words_[at_] +
                             " of what? A year stands behind the displacement; write " +
                             words_[at_] + " cc for that";
            return true;
        }
        const Slot* slot = open("era");
        if (slot == nullptr) return false;
        keep(*slot, understood(slot->key, words_[at_]), 1);
        return true;
    }

    /// A number without a unit, of the first key that leaves no doubt what it is in.
    bool take_bare() {
        if (!starts_number(words_[at_])) return false;
        for (const Slot& slot : slots_) {
            if (slot.key.type != Key::Type::quantity || !open(slot) ||
                slot.key.quantity == units::Quantity::angular_speed)
                continue;
            const Answer answer = understood(slot.key, words_[at_]);
            if (!answer.taken || !wrong(slot.key, answer.text).empty()) continue;
            keep(slot, answer, 1);
            return true;
        }
        return false;
    }

    void pass() {
        if (says_nothing(words_[at_])) {
            ++at_;
            return;
        }
        if (starts_number(words_[at_])) {
            const std::string known = units_asked(words_[at_]);
            reading_.wrong = words_[at_] + (known.empty() ? ": of what?" : known);
        } else {
            reading_.wrong = "'" + words_[at_] + "' is not understood here";
        }
    }

    /// ": in hp or kW?" of what is still open.
    [[nodiscard]] std::string units_asked(const std::string& number) const {
        for (const Slot& slot : slots_)
            if (slot.key.type == Key::Type::quantity && open(slot))
                if (const std::string which = unit_wanted(slot.key, number); !which.empty())
                    return ": " + which;
        return {};
    }

    std::span<const Slot> slots_;
    std::vector<std::string> words_;
    std::size_t at_ = 0;
    Reading reading_;
};

/// At "x", a times sign or "by".
std::vector<std::string> factors(std::string_view said) {
    std::vector<std::string> out(1);
    const std::string low = units::lowered(said);
    for (std::size_t i = 0; i < said.size(); ++i) {
        const std::string_view rest = std::string_view(low).substr(i);
        const std::size_t taken = rest.starts_with(" by ")           ? 4
                                  : rest.starts_with("\u00d7")       ? 2
                                  : rest[0] == 'x' || rest[0] == '*' ? 1
                                                                     : 0;
        if (taken > 0) {
            out.emplace_back();
            i += taken - 1;
        } else {
            out.back() += said[i];
        }
    }
    for (std::string& each : out) each = units::trimmed(each);
    return out;
}

}  // namespace

std::string unit_of(std::string_view text) {
    const std::size_t at = text.find_first_not_of("0123456789., /");
    return at == std::string_view::npos ? std::string() : std::string(text.substr(at));
}

Reading read_phrase(std::span<const Slot> slots, std::string_view said) {
    return Phrase(slots, said).read();
}

Reading read_face(std::span<const Slot> slots, std::string_view said,
                  std::string_view unit_before) {
    const std::vector<std::string> parts = factors(said);
    if (parts.size() != slots.size())
        return {{}, "not three sizes with x between them, such as 26 x 17 x 2 inch"};
    // A number without a unit has that of the next one behind it, else that before.
    std::vector<std::string> units(parts.size());
    for (std::size_t i = parts.size(); i-- > 0;)
        units[i] = !unit_of(parts[i]).empty() ? unit_of(parts[i])
                   : i + 1 < parts.size()     ? units[i + 1]
                                              : std::string();
    for (std::size_t i = 1; i < parts.size(); ++i)
        if (units[i].empty()) units[i] = units[i - 1];
    Reading out;
    const auto all_in = [&](const std::string& common) {
        out = {};
        for (std::size_t i = 0; i < slots.size(); ++i) {
            const bool own = !unit_of(parts[i]).empty();
            const std::string text = own ? parts[i] : parts[i] + " " + common + units[i];
            std::string why = wrong(slots[i].key, text);
            // What was said stands, however far from any car; what was found for it must fit.
            if (why.empty() && !own && !as_cars_have(slots[i].key, text))
                why = text + " is far from any car's; write its unit";
            if (!why.empty()) return out.wrong = why, false;
            out.said.push_back({slots[i].path, {text}});
        }
        return true;
    };
    if (!units.front().empty()) return (void)all_in(""), out;
    std::vector<std::string> fitting;
    for (const std::string_view each : trade_units(units::Quantity::length))
        if (all_in(std::string(each))) fitting.emplace_back(each);
    const bool known = std::find(fitting.begin(), fitting.end(), unit_before) != fitting.end();
    if (known || fitting.size() == 1) {
        (void)all_in(known ? std::string(unit_before) : fitting[0]);
        for (Said& each : out.said) each.answer.taken = true;
        return out;
    }
    std::string choices;
    for (const std::string& each : fitting) choices += (choices.empty() ? "" : " or ") + each;
    return {{}, "in " + (choices.empty() ? "inch or mm" : choices) + "? Write it behind the last"};
}

}  // namespace lapheat::app
