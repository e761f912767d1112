// The car that `lapheat new` asks about: the keys that it writes, what is asked, and the files.
#pragma once

#include <map>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "new_phrases.hpp"

namespace lapheat::app {

/// A key that `new` writes, with the answer of who says nothing.
struct Item {
    const char *table, *topic, *key, *words, *otherwise;
    bool can_lack = false;  ///< a relation or a default gives it to who does not know
};
[[nodiscard]] std::span<const Item> items();
[[nodiscard]] std::string path_of(const Item& item);
/// Throws std::logic_error for a path that is none of theirs.
[[nodiscard]] const Item& item_at(std::string_view path);
[[nodiscard]] scenario::Key key_of(const Item& item);
[[nodiscard]] Slot slot_of(std::string_view path);

/// Said for what is not known.
inline constexpr std::string_view unknown = "?";
/// What holds of a key that is not known, with its range where there is one: "1.1 times the speed
/// of peak power, give or take 4 %".
[[nodiscard]] std::string derived_words(const Item& item);

/// What is known of the car, by path.
struct NewCar {
    std::map<std::string, Answer> answers;
    std::map<std::string, bool> said;  ///< of those that are not just what is usual

    [[nodiscard]] const std::string& text(const std::string& path) const;
    void keep(const std::string& path, const Answer& answer, bool is_said);
    /// Every item with what is usual.
    static NewCar usual();
};

struct NewFile {
    std::string path, text;
};
/// car.toml, a placement for each place of a cooler, and three cycles.
[[nodiscard]] std::vector<NewFile> files_of(const NewCar& car);

}  // namespace lapheat::app
