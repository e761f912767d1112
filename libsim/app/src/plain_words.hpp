// What people type, as words to be looked up.
#pragma once

#include <cctype>
#include <sstream>
#include <string>
#include <string_view>
#include <vector>

#include "lapheat/units/text.hpp"

namespace lapheat::app {

/// Words in lower case, without punctuation.
inline std::vector<std::string> plain_words(std::string_view said) {
    std::string plain;
    for (const char c : said)
        plain += std::isalnum(static_cast<unsigned char>(c)) != 0 ? units::lower(c) : ' ';
    std::istringstream in(plain);
    std::vector<std::string> out;
    for (std::string word; in >> word;) out.push_back(word);
    return out;
}

/// "hose" of "hoses"; short words stay: "gas".
inline std::string singular(std::string word) {
    if (word.size() > 3 && word.back() == 's') word.pop_back();
    return word;
}

}  // namespace lapheat::app
