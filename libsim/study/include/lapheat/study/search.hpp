// What to buy: places for the cooler times parts on offer, under a budget, a space and a current.
//
// Of all choices the front is kept: those that no other beats at the same price or less. A choice
// is given up as soon as it cannot come onto the front, and this costs nothing of the answer:
//   - choices are taken by rising price, so what is cheaper is known
//   - a margin over some of the cycles and draws can only fall with those to come, so it bounds the
//     whole from above; the draws that were worst for the first choice, and the cycle that binds
//     there, come first
//   - as soon as that bound is within half a kelvin of what the front reaches for less money, it is
//     dominated: nobody pays for less, and no model tells it
// Hence the same front as running all of them, whatever the order of the doubts.
#pragma once

#include <array>
#include <limits>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "lapheat/results/json.hpp"
#include "lapheat/results/table.hpp"
#include "lapheat/scenario/parts_list.hpp"
#include "lapheat/study/compare.hpp"
#include "lapheat/study/holding.hpp"

namespace lapheat::study {

/// Room for a core: width, height and depth, m; 0: any.
struct Room {
    std::string placement;  ///< by its name; empty: in all of them
    std::array<double, 3> size{};
};

struct SearchOptions : HoldingOptions {
    std::vector<scenario::PartsList> lists;  ///< one choice of each; of one currency
    double budget = std::numeric_limits<double>::infinity();   ///< in that currency
    double current = std::numeric_limits<double>::infinity();  ///< A, all fans of the car at once
    std::vector<Room> rooms;
    units::System system = units::System::si;  ///< of the cautions
    bool every_one = false;  ///< run all of them to the end, to check the front by
};

/// A placement with an offer of each list.
struct Choice {
    static constexpr std::size_t none = static_cast<std::size_t>(-1);
    std::size_t placement = 0;
    std::vector<std::size_t> offers;  ///< of each list; none: this placement has no such part
    std::string words;                ///< "under the floor: plate cooler 280, fan 9 inch"
    double price = 0;
    double current = 0;  ///< A, all fans at once
    /// K that the asked share of draws reaches, with its 95 % interval; the least of the car as it
    /// stands without draws.
    double margin = 0, margin_low = 0, margin_high = 0;
    double holds = 0;         ///< share of the draws at or above the target
    std::string loop, cycle;  ///< that most often have the least margin
    std::size_t failed = 0;  ///< draws that could not be built or driven: they count as not holding
};

struct Search {
    std::string car;                      ///< its name
    std::vector<std::string> cycles;      ///< names
    std::vector<std::string> placements;  ///< names
    std::vector<std::string> lists;       ///< "cooler", "fan"
    std::string currency;
    double target = 0, share = 0;
    std::size_t draws = 0;
    std::vector<Choice> front;          ///< by rising price and margin
    std::optional<std::size_t> answer;  ///< of the front, the cheapest that reaches the target
    std::size_t choices = 0;            ///< of all placements and offers
    std::size_t over_budget = 0, too_large = 0, over_current = 0, unbuildable = 0, dominated = 0;
    std::string first_unbuildable;  ///< what it was and why
    std::size_t runs = 0;           ///< of a car through a cycle
    std::size_t runs_of_all = 0;    ///< that running all the rest would have taken
    double seconds = 0;
    bool cancelled = false;
    /// Of the answer, and of the dearest on the front of each other placement.
    std::vector<Caution> cautions;
    /// What the answer (or, without one, the last of the front) takes: name, price, how many or how
    /// many metres, notes.
    struct Bought {
        std::string part, what, notes;
        double price = 0, amount = 0, sum = 0;
        bool per_metre = false;
    };
    std::vector<Bought> shopping;
};

/// K: what a dearer choice must have more, to be worth its price at all (judgement): no builder
/// pays for hundredths of a kelvin, and no model tells them.
inline constexpr double worth_money = 0.5;

/// Which of these no other beats for less, cheapest first; of equals the first. A dearer one counts
/// only for more than `worth` more (K), or if it is the first to reach `target` (K).
[[nodiscard]] std::vector<std::size_t> front_of(
    std::span<const double> prices, std::span<const double> margins, double worth = 0,
    double target = std::numeric_limits<double>::infinity());

/// Throws Error for lists of several currencies, no choice within the limits, a fluid that is not
/// there, and as compare() does. The same for any number of threads.
[[nodiscard]] Search search(const std::vector<scenario::Scenario>& placements,
                            const SearchOptions& options);

[[nodiscard]] std::vector<std::string> search_words(const Search& search, units::System system);
[[nodiscard]] results::TextTable front_table(const Search& search, units::System system);
[[nodiscard]] results::TextTable shopping_table(const Search& search, units::System system);
[[nodiscard]] results::Json search_json(const Search& search);

}  // namespace lapheat::study
