// Broken texts made of good ones, for tests that no text may break what reads it.
#pragma once

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <random>
#include <string>
#include <utility>
#include <vector>

/// A few random edits of one of the inputs at a time: bytes and bits changed, put in, taken
/// out, pieces moved, words put in, pieces of another input. std::mt19937_64 alone, so that they
/// are the same everywhere.
class Mutator {
  public:
    Mutator(std::vector<std::string> inputs, std::vector<std::string> words, std::uint64_t series)
        : random_(series), inputs_(std::move(inputs)), words_(std::move(words)) {}

    std::string next(std::size_t most_edits = 5) {
        std::string text = inputs_[below(inputs_.size())];
        for (std::size_t edits = 1 + below(most_edits); edits > 0; --edits) edit(text);
        return text;
    }

  private:
    std::size_t below(std::size_t n) { return n == 0 ? 0 : random_() % n; }

    void edit(std::string& text) {
        const std::size_t at = below(text.size() + 1);
        const std::size_t length = below(std::min<std::size_t>(text.size() - at, 40) + 1);
        switch (below(8)) {
            case 0:
                if (at < text.size()) text[at] = static_cast<char>(random_() & 255U);
                break;
            case 1:
                if (at < text.size()) text[at] = static_cast<char>(text[at] ^ 1 << below(8));
                break;
            case 2:
                text.insert(at, 1, static_cast<char>(random_() & 255U));
                break;
            case 3:
                text.erase(at, length);
                break;
            case 4:
                text.insert(below(text.size()), text.substr(at, length));
                break;
            case 5:
            case 6:
                if (!words_.empty()) text.insert(at, words_[below(words_.size())]);
                break;
            default: {
                const std::string& other = inputs_[below(inputs_.size())];
                const std::size_t from = below(other.size());
                text.replace(at, length, other, from, below(200));
            }
        }
    }

    std::mt19937_64 random_;
    std::vector<std::string> inputs_, words_;
};
