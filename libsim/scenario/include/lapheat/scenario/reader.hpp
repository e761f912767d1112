// Reading one table of a document, key by key. Nothing is thrown for what a file holds: what is
// wrong goes to Problems, and a stand-in comes back (NaN, 0, "", false, the first choice, an empty
// table), so that a reading goes on to the end and reports everything at once. Then:
//
//     Problems problems;
//     const Document document = load("car.toml", problems);
//     Reader car(document, problems, &car_file());
//     Reader engine = car.table(file["engine"]);
//     const double bore = engine.quantity(engine_keys["hose_bore"]);
//     for (Reader core : car.named(file["cores"])) cores.push_back(read_core(core));
//     car.finish();              // unknown keys, with the nearest key that is known
//     problems.throw_if_any();
//
// A Reader knows the Table it reads; asked for a key that is not in it, it throws
// std::logic_error, for that is a mistake of ours.
//
// Readers are small and copied freely; they point into the document and to the problems, which
// must outlive them. Quantities come back in SI units; ranges are given in SI units.
#pragma once

#include <cstdint>
#include <initializer_list>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <type_traits>
#include <utility>
#include <vector>

#include "lapheat/scenario/columns.hpp"
#include "lapheat/scenario/document.hpp"
#include "lapheat/scenario/number.hpp"
#include "lapheat/scenario/reader_notes.hpp"
#include "lapheat/scenario/registry.hpp"

namespace lapheat::scenario {

class Reader {
  public:
    /// Over the whole document. Without a table any key may be asked for.
    Reader(const Document& document, Problems& problems, const Table* keys = nullptr);

    // One value: what the file says, or the key's default. An absent key without one is an error.
    // The second form of each takes a default that only the caller can know, with its reason, and
    // records it as an assumption.
    double quantity(const Key& key);
    double quantity(const Key& key, const Default& derived);
    double quantity(const Key& key, double derived, std::string_view why);
    double number(const Key& key);
    double number(const Key& key, double derived, std::string_view why);
    std::int64_t integer(const Key& key);
    /// The number of `key` where the table has `written` in its place (a dash number for a bore):
    /// known by its own path as well, so that a variant of the car can change it there.
    double instead(const Key& key, const Key& written, double value);
    bool boolean(const Key& key);
    bool boolean(const Key& key, bool derived, std::string_view why = {});
    std::string text(const Key& key);

    // One value that may be absent, without an assumption being made.
    std::optional<double> optional_quantity(const Key& key);
    std::optional<std::string> optional_text(const Key& key);
    std::optional<std::string> optional_reference(const Key& key,
                                                  const std::vector<std::string>& known);

    /// The value of the word that is there.
    template <class E>
    E choice(const Key& key) {
        return static_cast<E>(choose(key));
    }
    /// The same; an absent key is recorded as `derived`, one of its words, with the reason.
    template <class E>
    E choice(const Key& key, E derived, std::string_view why) {
        if (has(key)) return choice<E>(key);
        for (const Word& word : words_of(key))
            if (word.value == static_cast<int>(derived))
                assume(key, {std::string(word.name), std::string(why)});
        return derived;
    }
    /// Records that an absent key was taken as `derived`.
    void assume(const Key& key, const Default& derived);
    /// One of `kinds`, which decides which other keys the table has. If the word is wrong, the
    /// first comes back, and this table's missing and unknown keys are not reported, for nobody
    /// knows which are right.
    template <class Kinds>
    const auto& kind(const Key& key, const Kinds& kinds) {
        return kinds[choose_kind(key)];
    }
    /// Which one of these keys is there, by name. None or several is an error, and comes back as
    /// empty.
    std::string one_of(std::initializer_list<const Key*> keys);

    /// The name of another part. An unknown one is an error and comes back as empty.
    std::string reference(const Key& key, const std::vector<std::string>& known);
    std::string reference(const Key& key);  ///< of those the key lists itself

    // Arrays; required. A single value is taken as an array of one.
    std::vector<double> quantities(const Key& key);
    std::vector<double> numbers(const Key& key);
    std::vector<std::string> texts(const Key& key);
    std::vector<std::string> references(const Key& key, const std::vector<std::string>& known);
    std::vector<std::string> references(const Key& key);

    /// A table of numbers, in one of the forms
    ///   points = [["flow [L/min]", "rise [kPa]"], [0, 30], [20, 25]]
    ///   points = [["0 L/min", "30 kPa"], ["20 L/min", "25 kPa"]]   in the order asked for
    ///   points = { flow = ["0 L/min", "20 L/min"], rise = ["30 kPa", "25 kPa"] }
    ///   points = { "flow [L/min]" = [0, 20], "rise [kPa]" = [30, 25] }
    ///   points = "pump.csv"                                        relative to the file
    /// With any error the columns come back empty.
    Columns columns(const Key& key);
    /// The same with some of the key's columns, for a table that may have no others.
    Columns columns(const Key& key, const std::vector<Column>& asked);

    // Tables within. Missing: table() reports it once and its reader then keeps silent, or reads
    // as a table without keys, so that defaults apply, where the key may be absent.
    Reader table(const Key& key);
    /// The items of an array of tables, [[segments]]; none if absent.
    std::vector<Reader> tables(const Key& key);
    /// The sub-tables of a table, [cores.radiator], [cores.condenser], in the order of the files;
    /// none if absent. Those set to `false` are left out.
    std::vector<Reader> named(const Key& key);

    [[nodiscard]] bool has(const Key& key) const { return holds(key.name); }
    /// Last part of the path: "radiator" for [cores.radiator].
    [[nodiscard]] const std::string& name() const noexcept { return name_; }
    [[nodiscard]] const std::string& path() const noexcept { return path_; }
    [[nodiscard]] FilePlace place() const;
    /// Of the key's value, or of the table if there is no such key.
    [[nodiscard]] FilePlace place(const Key& key) const;
    /// False if an error was found in this table or a table within it.
    [[nodiscard]] bool sound() const;

    // For checks that only the caller can make. The value found is put in by the reader.
    void error(const Key& key, std::string_view expected, std::string_view hint = {});
    void warn(const Key& key, std::string_view expected, std::string_view hint = {});
    /// Takes the key as known without reading it.
    void ignore(const Key& key);

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
    [[nodiscard]] const std::vector<StatedDoubt>& doubts() const;
    [[nodiscard]] const std::vector<Number>& numbers() const;
    /// The doubt that the key's value states, taken off that list by who keeps it elsewhere; 0 if
    /// it states none.
    double take_doubt(const Key& key);
    /// The document's files and the CSV files read through columns().
    [[nodiscard]] std::vector<SourceFile> files() const;

  private:
    struct Session;
    struct Asked;
    Reader(std::shared_ptr<Session> session, const DocumentNode* node, std::string path,
           std::string name);

    int choose(const Key& key);
    std::size_t choose_kind(const Key& key);
    std::size_t word_index(const Key& key, const std::vector<std::string>& words);
    [[nodiscard]] bool holds(std::string_view key) const;
    void report(const Error& error);

    friend struct Access;
    std::shared_ptr<Session> session_;
    const DocumentNode* node_;  ///< nullptr: a table that is missing and was reported
    std::string path_;
    std::string name_;
};

}  // namespace lapheat::scenario
