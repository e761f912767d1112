// Paths of energy across the car's boundary. Each is one more state: its integral is the ledger.
#pragma once

#include <cstddef>
#include <stdexcept>
#include <string>
#include <vector>

#include "lapheat/model/result.hpp"

namespace lapheat::model {

/// A path of the ledger. Only LedgerPaths makes one that counts.
struct LedgerId {
    int index = -1;
    [[nodiscard]] bool counts() const noexcept { return index >= 0; }
    bool operator==(const LedgerId&) const = default;
};

struct LedgerPath {
    std::string name;
    LedgerEntry::Direction direction = LedgerEntry::Direction::in;
    bool operator==(const LedgerPath&) const = default;
};

/// The named paths of one car, in the order in which they were first asked for.
class LedgerPaths {
  public:
    LedgerId in(const std::string& name) { return path(name, LedgerEntry::Direction::in); }
    LedgerId out(const std::string& name) { return path(name, LedgerEntry::Direction::out); }
    LedgerId within(const std::string& name) { return path(name, LedgerEntry::Direction::within); }
    [[nodiscard]] std::size_t size() const noexcept { return paths_.size(); }
    [[nodiscard]] auto begin() const noexcept { return paths_.begin(); }
    [[nodiscard]] auto end() const noexcept { return paths_.end(); }
    bool operator==(const LedgerPaths&) const = default;

  private:
    LedgerId path(const std::string& name, LedgerEntry::Direction direction) {
        for (std::size_t i = 0; i < paths_.size(); ++i) {
            if (paths_[i].name != name) continue;
            if (paths_[i].direction != direction)
                throw std::logic_error("the ledger's path '" + name + "' goes both ways");
            return {static_cast<int>(i)};
        }
        paths_.push_back({name, direction});
        return {static_cast<int>(paths_.size()) - 1};
    }
    std::vector<LedgerPath> paths_;
};

}  // namespace lapheat::model
