#include <fmt/core.h>

#include <algorithm>
#include <cctype>
#include <cstddef>
#include <limits>
#include <tuple>

#include "lapheat/scenario/problems.hpp"
#include "lapheat/units/text.hpp"

namespace lapheat::scenario {
namespace {

std::string folded(std::string_view word) {
    std::string out;
    for (const char c : word) {
        out += c == '-' || c == ' ' ? '_' : units::lower(c);
    }
    return out;
}

/// Insertions, deletions, substitutions and swaps of neighbours that turn `a` into `b`, each at
/// most once in a place (optimal string alignment).
std::size_t edits(std::string_view a, std::string_view b) {
    std::vector<std::size_t> before(b.size() + 1);
    std::vector<std::size_t> above(b.size() + 1);
    std::vector<std::size_t> row(b.size() + 1);
    for (std::size_t j = 0; j <= b.size(); ++j) above[j] = j;
    for (std::size_t i = 1; i <= a.size(); ++i) {
        row[0] = i;
        for (std::size_t j = 1; j <= b.size(); ++j) {
            const std::size_t changed = a[i - 1] == b[j - 1] ? 0 : 1;
            row[j] = std::min({above[j] + 1, row[j - 1] + 1, above[j - 1] + changed});
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) {
                row[j] = std::min(row[j], before[j - 2] + 1);
            }
        }
        before.swap(above);
        above.swap(row);
    }
    return above[b.size()];
}

}  // namespace

std::string nearest(std::string_view word, const std::vector<std::string>& candidates) {
    constexpr std::size_t longest = 64;  // no key is longer; keeps hostile input cheap
    if (word.empty() || word.size() > longest) return {};
    const std::string wanted = folded(word);
    std::string best;
    std::size_t least = std::numeric_limits<std::size_t>::max();
    for (const std::string& candidate : candidates) {
        if (candidate.empty() || candidate.size() > longest) continue;
        const std::string name = folded(candidate);
        const std::size_t allowed =
            std::max<std::size_t>(1, std::max(name.size(), word.size()) / 3);
        std::size_t distance = edits(wanted, name);
        // "diameter" for "inner_diameter" and the like: far in edits, near in meaning.
        const auto& [shorter, longer] =
            wanted.size() < name.size() ? std::tie(wanted, name) : std::tie(name, wanted);
        if (shorter.size() >= 3 && (longer.starts_with(shorter) || longer.ends_with(shorter))) {
            distance = std::min(distance, allowed);
        }
        if (distance <= allowed && distance < least && distance < name.size()) {
            least = distance;
            best = candidate;
        }
    }
    return best;
}

std::string suggest(std::string_view word, const std::vector<std::string>& candidates) {
    const std::string near = nearest(word, candidates);
    if (!near.empty()) return "did you mean '" + near + "'?";
    if (candidates.empty()) return {};
    constexpr std::size_t shown = 8;
    std::string out = "known: ";
    for (std::size_t i = 0; i < std::min(shown, candidates.size()); ++i) {
        out += (i > 0 ? ", " : "") + candidates[i];
    }
    if (candidates.size() > shown) {
        out += fmt::format(" and {} more", candidates.size() - shown);
    }
    return out;
}

}  // namespace lapheat::scenario
