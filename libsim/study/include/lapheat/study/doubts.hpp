// The numbers of the compared cars that are in doubt, each with its distribution, and cars made of
// one draw of them all.
//
// Where a distribution comes from (DoubtedNumber::why says it of each):
//   yours      a file says "28 mm +- 1 mm": normal, the +- being two standard deviations (95 of
//   100;
//              JCGM 100:2008, 6.2 and G.3), cut at four and at what the key allows
//   assumed    a default with a range, or [value, low, high] of a file: triangular over the range,
//              the value being the likeliest (JCGM 100:2008, 4.3.9)
//   levels     a factor on what a seller or a habit gives, 0.8 to 1.25: triangular in its
//   logarithm,
//              for half is as far off as double; on what a relation gives, by the checks against
//              the world: log-normal with that relation's bias and spread
// Choices are no doubts: what selector is in, whether the air conditioning runs, which fault.
//
// Numbers that were fitted together to logs ([fitted] of a file) are drawn together: their normal
// scores get the correlation of the fit (a Gaussian copula).
//
// A number is one number wherever it stands: the same assumption in two placements gets the same
// draw, and so does the same claim with the same doubt for parts of one kind ("1050 cfm +- 15 %" of
// two fans: one seller, wrong by the same amount).
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "lapheat/scenario/scenario.hpp"
#include "lapheat/solve/distribution.hpp"
#include "lapheat/solve/draws.hpp"
#include "lapheat/solve/matrix.hpp"

namespace lapheat::study {

struct DoubtedNumber {
    std::string of;    ///< "under the floor on a crossmember", "engine"; of a file's key its table
    std::string name;  ///< "ram recovery", "free_flow"
    scenario::Origin origin = scenario::Origin::assumed;
    std::vector<std::string> tables;  ///< of a file's key: every table with this one claim
    std::string what;                 ///< in a builder's words, if they are not name and of
    std::vector<std::string> whose;   ///< the parts in these words: "left", "right"
    std::string relation;             ///< of a derived one its name: "idle speed"
    double value = 0;                 ///< as it stands, SI
    double low = 0, high = 0;         ///< 5 and 95 % of its draws lie below, SI
    units::Quantity quantity = units::Quantity::ratio;
    solve::Distribution distribution;  ///< of the first placement, by its name, that has it
    std::string why;                   ///< how the distribution was chosen
    std::string source;                ///< where the range is from
    std::vector<bool> in;              ///< by placement: its car has it; empty: not known

    /// False if it is known that the p-th placement's car has no such number.
    [[nodiscard]] bool stands_in(std::size_t p) const { return in.empty() || in.at(p); }

    /// "ram recovery (under the floor on a crossmember)", "water pump flow (coolant water pump)"
    [[nodiscard]] std::string words() const;
    /// Whether a file's key of that path states it: "fans.left.free_flow".
    [[nodiscard]] bool stated_by(std::string_view path) const;
};

/// Immutable; may be used from all threads.
class DoubtedCars {
  public:
    /// `scenarios` must outlive it; in any order they give the same draws. `series`: another one
    /// gives others.
    DoubtedCars(const std::vector<scenario::Scenario>& scenarios, std::uint64_t series);

    [[nodiscard]] const std::vector<DoubtedNumber>& numbers() const noexcept { return numbers_; }
    /// Doubts that files state of what cannot be drawn (in cycles), by their path.
    [[nodiscard]] const std::vector<std::string>& not_drawn() const noexcept { return not_drawn_; }
    /// The index-th draw: for each number the share of all cases that lie below, in (0, 1).
    [[nodiscard]] std::vector<double> draw(std::uint32_t index) const;
    /// The p-th scenario's car with the numbers of that draw. `set`: other values of some numbers
    /// by their paths; a doubt that is stated of one of them stays with it, as large a part of the
    /// new value (of temperatures, as many kelvins).
    [[nodiscard]] model::Car car(std::size_t p, std::span<const double> draw,
                                 std::span<const std::pair<std::string, double>> set = {}) const;

  private:
    struct Entry {
        std::string key;
        std::vector<std::optional<solve::Distribution>> of;  ///< by placement
        /// Keys of the files that it stands under, by placement; none: an assumption of the car.
        std::vector<std::vector<std::string>> paths;
        /// Of a derived number: the entries that its relation takes in, and with which powers.
        std::vector<std::pair<std::size_t, double>> follows;
    };
    static constexpr std::size_t not_in_doubt = static_cast<std::size_t>(-1);

    std::size_t entry(const std::string& key, std::size_t p, const solve::Distribution& what,
                      DoubtedNumber words);
    void add_assumptions(std::size_t p);
    void add_fitted();
    void add_stated(std::size_t p);
    /// Numbers of the same words get their key's, or their placement's, with them.
    void tell_apart();
    void link_derived();
    /// What number k is in that draw over what it is as it stands, what it follows included.
    [[nodiscard]] double drawn_ratio(std::size_t k, std::size_t p,
                                     std::span<const double> draw) const;

    const std::vector<scenario::Scenario>& scenarios_;
    std::vector<DoubtedNumber> numbers_;
    std::vector<Entry> entries_;
    /// By placement, in the order of model::assumptions(): which entry each is.
    std::vector<std::vector<std::size_t>> entry_of_;
    std::vector<std::string> not_drawn_;
    solve::SpreadPoints points_;
    std::vector<std::size_t> together_;  ///< entries that were fitted together
    solve::Matrix root_;                 ///< of their correlation: lower triangle
};

}  // namespace lapheat::study
