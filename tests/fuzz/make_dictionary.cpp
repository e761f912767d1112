// Words for the fuzzer, from what the library itself knows: keys, kinds and words of the registry,
// signals of logs, spellings of units. Written at build time: `make_dictionary FILE`.
#include <cstdio>
#include <fstream>
#include <set>

#include "lapheat/scenario/log.hpp"
#include "lapheat/scenario/registry.hpp"
#include "lapheat/units/spellings.hpp"

using namespace lapheat;

namespace {

/// As libFuzzer reads a dictionary: quotes and what is no plain character escaped.
std::string quoted(std::string_view word) {
    std::string out = "\"";
    for (const char c : word) {
        const auto byte = static_cast<unsigned char>(c);
        if (byte < 32 || byte > 126 || c == '"' || c == '\\') {
            char escaped[8];
            std::snprintf(escaped, sizeof escaped, "\\x%02X", byte);
            out += escaped;
        } else {
            out += c;
        }
    }
    return out + '"';
}

void add(std::set<std::string>& words, std::string_view word) {
    if (!word.empty() && word.size() < 60) words.insert(quoted(word));
}

}  // namespace

int main(int count, char** arguments) {
    if (count != 2) return 64;
    std::set<std::string> words;
    for (const scenario::Table* table : scenario::all_tables()) {
        add(words, table->name);
        for (const scenario::Key* key : table->all()) {
            add(words, std::string(key->name) + " = ");
            add(words, key->fallback);
            for (const scenario::Word& word : scenario::words_of(*key)) add(words, word.name);
        }
    }
    for (const auto& signal : scenario::signals()) {
        add(words, signal.name);
        add(words, signal.units);
    }
    for (const units::Spelling& s : units::spellings()) add(words, s.written);
    for (const units::Quantity q : units::all_quantities()) {
        add(words, units::example(q));
        add(words, std::string(" ") + units::display_unit(q, units::System::si));
        add(words, std::string(" ") + units::display_unit(q, units::System::us));
    }
    for (const char* word : {"[[",
                             "]]",
                             "{ ",
                             " }",
                             "\"\"\"",
                             "'''",
                             " +- 10 %",
                             "1e308",
                             "1e-308",
                             "-1",
                             "nan",
                             "inf",
                             "9223372036854775807",
                             "0x",
                             "false",
                             "\xef\xbb\xbf",
                             "kind = ",
                             "replace = true",
                             "after = ",
                             " := ",
                             "#map speed="})
        add(words, word);
    std::ofstream out(arguments[1]);
    for (const std::string& word : words) out << word << '\n';
    return out.flush() ? 0 : 1;
}
