// The rows that reports are made of, and their members by name, once. JSON, HDF5, the Python
// package and its docstrings are made from these tables: a member that is added to one is in all.
#pragma once

#include <cstddef>
#include <functional>
#include <span>
#include <string>
#include <utility>
#include <variant>

#include "lapheat/model/limits.hpp"
#include "lapheat/model/result.hpp"
#include "lapheat/units/units.hpp"

namespace lapheat::results {

/// What a member is measured in: a quantity, UDUNITS text where no quantity fits, or nothing (text,
/// truth).
class Unit {
  public:
    constexpr Unit() = default;
    constexpr Unit(units::Quantity quantity) : quantity_(quantity), measured_(true) {}
    constexpr Unit(const char* si) : si_(si) {}
    /// UDUNITS text of the SI unit: "K", "m3 s-1", "1" for shares and counts, "" for none.
    [[nodiscard]] const char* si() const noexcept {
        return measured_ ? units::si_unit(quantity_) : si_;
    }
    /// Which of the two meanings of its kelvins, as the CF conventions (1.11, section 3.1.2) say
    /// it: "temperature: difference", "temperature: on_scale"; "" for other units.
    [[nodiscard]] const char* metadata() const noexcept {
        if (!measured_) return "";
        return quantity_ == units::Quantity::temperature_difference ? "temperature: difference"
               : quantity_ == units::Quantity::temperature          ? "temperature: on_scale"
                                                                    : "";
    }

  private:
    const char* si_ = "";
    units::Quantity quantity_ = units::Quantity::ratio;
    bool measured_ = false;
};

/// Where a value is: a member of the row, or worked out of it. What is worked out is written and
/// shown, and not read back.
template <class Row>
using Getter =
    std::variant<double Row::*, std::string Row::*, bool Row::*, int Row::*, std::size_t Row::*,
                 double (*)(const Row&), std::string (*)(const Row&)>;

template <class Row>
struct Field {
    const char* name;  ///< snake_case: key of JSON, dataset of HDF5, attribute in Python
    Getter<Row> get;
    const char* help = "";  ///< words for an axis or a docstring; the unit is beside them
    Unit unit = {};
};

/// The members of a kind of row, in the order in which they are written.
template <class Row>
[[nodiscard]] std::span<const Field<Row>> fields() = delete;
template <>
[[nodiscard]] std::span<const Field<model::Event>> fields();
template <>
[[nodiscard]] std::span<const Field<model::LedgerEntry>> fields();
template <>
[[nodiscard]] std::span<const Field<model::HeatSource>> fields();
template <>
[[nodiscard]] std::span<const Field<model::Verdict>> fields();
template <>
[[nodiscard]] std::span<const Field<model::LineState>> fields();
template <>
[[nodiscard]] std::span<const Field<model::PumpState>> fields();
template <>
[[nodiscard]] std::span<const Field<model::FanState>> fields();
template <>
[[nodiscard]] std::span<const Field<model::AssumedNumber>> fields();
template <>
[[nodiscard]] std::span<const Field<model::Limits>> fields();
template <>
[[nodiscard]] std::span<const Field<model::RunCost>> fields();
/// Names and totals of a run; its tables are rows of their own.
template <>
[[nodiscard]] std::span<const Field<model::Result>> fields();

/// Calls use(value) with the field's value of `row`.
template <class Row, class Use>
decltype(auto) with_value(const Field<Row>& field, const Row& row, Use&& use) {
    return std::visit([&](auto get) -> decltype(auto) { return use(std::invoke(get, row)); },
                      field.get);
}

/// "highest temperature, K": a docstring.
template <class Row>
[[nodiscard]] std::string described(const Field<Row>& field) {
    const std::string unit = field.unit.si(), help = field.help;
    if (unit.empty() || unit == "1") return help;
    return help.empty() ? unit : help + ", " + unit;
}

}  // namespace lapheat::results
