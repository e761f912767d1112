// Reading one table of a document, key by key. Nothing is thrown: what is wrong goes to Problems,
// and a stand-in comes back (NaN, 0, "", false, the first choice, an empty table), so that a
// reading goes on to the end and reports everything at once. Then:
//
//     Problems problems;
//     const Document document = load("car.toml", problems);
//     Reader car(document, problems);
//     Reader engine = car.table("engine");
//     const double bore = engine.quantity("hose_bore", Quantity::length, positive);
//     const double cap = engine.quantity("cap", Quantity::pressure, positive, {"1.1 bar"});
//     for (Reader core : car.named("cores")) cores.push_back(read_core(core));
//     car.finish();              // unknown keys, with the nearest key that was asked for
//     problems.throw_if_any();
//
// Readers are small and copied freely; they point into the document and to the problems, which
// must outlive them. Quantities come back in SI units; ranges are given in SI units.
#pragma once

#include <cstdint>
#include <initializer_list>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <type_traits>
#include <utility>
#include <vector>

#include "lapheat/scenario/columns.hpp"
#include "lapheat/scenario/document.hpp"

namespace lapheat::scenario {

using units::Quantity;

/// What is taken when a key is absent, written as a file would write it, and why.
struct Default {
    std::string value;
    std::string why = {};
};

/// A default that was used, for the list of assumptions in the result.
struct Assumption {
    FilePlace place;  ///< of the table that lacks the key
    std::string key;
    std::string value;
    std::string why;
};

class Reader {
  public:
    /// Over the whole document.
    Reader(const Document& document, Problems& problems);

    // One value. The second form of each takes a default and records its use as an assumption.
    double quantity(std::string_view key, Quantity what, Range range = any_value);
    double quantity(std::string_view key, Quantity what, Range range, const Default& fallback);
    double number(std::string_view key, Range range = any_value);
    double number(std::string_view key, Range range, double fallback, std::string_view why = {});
    std::int64_t integer(std::string_view key, std::int64_t low, std::int64_t high);
    std::int64_t integer(std::string_view key, std::int64_t low, std::int64_t high,
                         std::int64_t fallback, std::string_view why = {});
    bool boolean(std::string_view key);
    bool boolean(std::string_view key, bool fallback, std::string_view why = {});
    std::string text(std::string_view key);
    std::string text(std::string_view key, std::string_view fallback, std::string_view why = {});

    // One value that may be absent, without an assumption being made.
    std::optional<double> optional_quantity(std::string_view key, Quantity what,
                                            Range range = any_value);
    std::optional<double> optional_number(std::string_view key, Range range = any_value);
    std::optional<std::string> optional_text(std::string_view key);

    /// One of several words: choice<Flow>("flow", {{"cross", Flow::cross}, ...}).
    template <class E>
    using Names = std::initializer_list<std::pair<const char*, E>>;
    template <class E>
    E choice(std::string_view key, Names<E> names) {
        return pick(names, choose(key, words(names), {}, {}, false));
    }
    template <class E>
    E choice(std::string_view key, Names<E> names, std::string_view fallback,
             std::string_view why = {}) {
        return pick(names, choose(key, words(names), fallback, why, false));
    }
    /// A choice that decides which other keys the table has. If it is wrong, this table's missing
    /// and unknown keys are not reported, for nobody knows which are right.
    template <class E>
    E kind(std::string_view key, Names<E> names) {
        return pick(names, choose(key, words(names), {}, {}, true));
    }
    /// Which one of these keys is there. None or several is an error, and comes back as empty.
    std::string one_of(const std::vector<std::string>& keys);

    /// The name of another part. An unknown one is an error and comes back as empty.
    std::string reference(std::string_view key, const std::vector<std::string>& known);
    std::optional<std::string> optional_reference(std::string_view key,
                                                  const std::vector<std::string>& known);

    // Arrays; required. A single value is taken as an array of one.
    std::vector<double> quantities(std::string_view key, Quantity what, Range range = any_value);
    std::vector<double> numbers(std::string_view key, Range range = any_value);
    std::vector<std::string> texts(std::string_view key);
    std::vector<std::string> references(std::string_view key,
                                        const std::vector<std::string>& known);

    /// A table of numbers, in one of the forms
    ///   points = [["flow [L/min]", "rise [kPa]"], [0, 30], [20, 25]]
    ///   points = [["0 L/min", "30 kPa"], ["20 L/min", "25 kPa"]]   in the order asked for
    ///   points = { flow = ["0 L/min", "20 L/min"], rise = ["30 kPa", "25 kPa"] }
    ///   points = { "flow [L/min]" = [0, 20], "rise [kPa]" = [30, 25] }
    ///   points = "pump.csv"                                        relative to the file
    /// With any error the columns come back empty.
    Columns columns(std::string_view key, const std::vector<Column>& asked,
                    std::size_t min_rows = 2);

    // Tables within. Missing: table() reports it once and its reader then keeps silent;
    // table_or_empty() reads as a table without keys, so that defaults apply.
    Reader table(std::string_view key);
    Reader table_or_empty(std::string_view key);
    /// The items of an array of tables, [[segments]]; none if absent.
    std::vector<Reader> tables(std::string_view key);
    /// The sub-tables of a table, [cores.radiator], [cores.condenser], in the order of the files;
    /// none if absent. Those set to `false` are left out.
    std::vector<Reader> named(std::string_view key);

    [[nodiscard]] bool has(std::string_view key) const;
    /// Last part of the path: "radiator" for [cores.radiator].
    [[nodiscard]] const std::string& name() const noexcept { return name_; }
    [[nodiscard]] const std::string& path() const noexcept { return path_; }
    [[nodiscard]] FilePlace place() const;
    /// Of the key's value, or of the table if there is no such key.
    [[nodiscard]] FilePlace place(std::string_view key) const;
    /// All keys of the table, asked for or not.
    [[nodiscard]] std::vector<std::string> keys() const;
    /// False if an error was found in this table or a table within it.
    [[nodiscard]] bool sound() const;

    // For checks that only the caller can make. The value found is put in by the reader.
    void error(std::string_view key, std::string_view expected, std::string_view hint = {});
    void warn(std::string_view key, std::string_view expected, std::string_view hint = {});
    /// Takes the key as known without reading it.
    void ignore(std::string_view key);

    /// Runs `f` and returns its value; an Error thrown becomes a problem at this table (at its
    /// key, if the error names one that is here). Does not run if the table is not sound.
    template <class F>
    auto attempt(F&& f) -> std::optional<std::invoke_result_t<F>> {
        if (!sound()) return std::nullopt;
        try {
            return std::forward<F>(f)();
        } catch (const Error& e) {
            report(e);
            return std::nullopt;
        }
    }

    /// Reports the keys nobody asked for, in this table and those within it.
    void finish();

    [[nodiscard]] const std::vector<Assumption>& assumptions() const;
    /// The document's files and the CSV files read through columns().
    [[nodiscard]] std::vector<SourceFile> files() const;

  private:
    struct Session;
    struct Asked;
    Reader(std::shared_ptr<Session> session, const DocumentNode* node, std::string path,
           std::string name);

    template <class E>
    static std::vector<std::string> words(Names<E> names) {
        std::vector<std::string> out;
        for (const auto& [word, value] : names) out.emplace_back(word);
        return out;
    }
    template <class E>
    static E pick(Names<E> names, std::size_t index) {
        return names.begin()[index].second;
    }
    std::size_t choose(std::string_view key, const std::vector<std::string>& words,
                       std::string_view fallback, std::string_view why, bool decides);
    void report(const Error& error);

    friend struct Access;
    std::shared_ptr<Session> session_;
    const DocumentNode* node_;  ///< nullptr: a table that is missing and was reported
    std::string path_;
    std::string name_;
};

}  // namespace lapheat::scenario
