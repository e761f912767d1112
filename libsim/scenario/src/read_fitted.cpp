// [fitted]: numbers of this car as logs told them, with their doubt and how they go together.
#include <fmt/format.h>

#include <algorithm>
#include <optional>

#include "fitted_keys.hpp"
#include "lapheat/model/assumptions.hpp"
#include "lapheat/scenario/scenario.hpp"
#include "read_parts.hpp"

namespace lapheat::scenario {
namespace {

constexpr Key number_keys[] = {
    key::text("of", "what it belongs to, as reports name it: \"engine\""),
    key::text("name", "the number, as reports name it"),
    key::texts("keys",
               "of this car's files, where one states the number with its doubt: it takes "
               "the place of what they say")
        .optional("none: a number that the car assumes"),
    key::text("unit", "of a number with keys").optional("none"),
    key::number("value", any_value, "SI"),
    key::number("low", any_value, "SI, two standard deviations below"),
    key::number("high", any_value, "SI, two standard deviations above"),
    key::numbers("correlation", between(-1, 1), "with each of the numbers above it, in their order")
        .nothing("none")};
constexpr Table number_table{"fitted-numbers", "[[fitted.numbers]]",
                             "One number that logs told something about.", number_keys};

constexpr Key fitted_keys[] = {key::texts("logs", "the files it was fitted to").nothing("not said"),
                               key::tables("numbers", &number_table, "those that the logs tell")};
constexpr Table fitted_table{"fitted", "[fitted]",
                             "Numbers fitted to logs, over what the car assumes; `lapheat fit "
                             "--write FILE` makes it.",
                             fitted_keys};
constexpr Key fitted_file_keys[] = {
    key::table("fitted", &fitted_table, "numbers fitted to logs").nothing("none")};

}  // namespace

constexpr Table fitted_tables{"", "", "", fitted_file_keys};

Document with_fitted_keys(const Document& document) {
    const auto number = [](const DocumentNode& item, const char* key) -> std::optional<double> {
        const DocumentNode* node = item.find(key);
        if (node == nullptr ||
            (node->kind != DocumentNode::Kind::real && node->kind != DocumentNode::Kind::integer))
            return {};
        return node->real;
    };
    Document out = document;
    const DocumentNode* fitted = document.root.find("fitted");
    const DocumentNode* numbers = fitted != nullptr ? fitted->find("numbers") : nullptr;
    if (numbers == nullptr) return out;
    for (const DocumentNode& item : numbers->items) {
        const DocumentNode* keys = item.find("keys");
        const auto value = number(item, "value"), low = number(item, "low"),
                   high = number(item, "high");
        // What is wrong with the item read_fitted() says.
        if (keys == nullptr || !value || !low || !high || !(*low <= *high)) continue;
        const DocumentNode* unit = item.find("unit");
        const std::string behind = unit != nullptr && !unit->text.empty() ? " " + unit->text : "";
        for (const DocumentNode& key : keys->items)
            out = out.with(key.text, fmt::format("\"{:.9g}{} +- {:.6g}{}\"", *value, behind,
                                                 0.5 * (*high - *low), behind));
    }
    return out;
}

std::vector<FittedTogether> read_fitted(Reader& root, model::Car& car) {
    std::vector<FittedTogether> out;
    if (!root.has(fitted_tables["fitted"])) return out;
    Reader table = root.table(fitted_tables["fitted"]);
    if (table.has(fitted_table["logs"])) (void)table.texts(fitted_table["logs"]);
    const std::vector<model::CarAssumption> known = model::assumptions(car);
    for (Reader r : table.tables(fitted_table["numbers"])) {
        FittedTogether f;
        f.of = r.text(number_table["of"]), f.name = r.text(number_table["name"]);
        std::vector<std::string> keys;
        if (r.has(number_table["keys"])) keys = r.texts(number_table["keys"]);
        // By its path, and no assumption's.
        if (!keys.empty()) f.of.clear(), f.name = keys.front();
        if (r.has(number_table["unit"])) (void)r.text(number_table["unit"]);
        const double value = r.number(number_table["value"]);
        const double low = r.number(number_table["low"]), high = r.number(number_table["high"]);
        if (r.has(number_table["correlation"]))
            f.correlation = r.numbers(number_table["correlation"]);
        if (f.correlation.size() > out.size())
            r.error(number_table["correlation"],
                    fmt::format("at most {} numbers, one for each above", out.size()));
        if (!(low <= value && value <= high))
            r.error(number_table["value"], "a value between low and high");
        bool found = !keys.empty();  // with_fitted_keys() has set them
        for (const model::CarAssumption& a : known)
            if (keys.empty() && a.of == f.of && a.name == f.name) {
                *a.number = {.value = value,
                             .low = low,
                             .high = high,
                             .source = "fitted to logs",
                             .two_deviations = true};
                found = true;
            }
        if (!found && !f.name.empty()) {
            std::vector<std::string> names;
            for (const model::CarAssumption& a : known)
                if (a.of == f.of) names.emplace_back(a.name);
            r.error(number_table["name"], "a number of this car that has a range",
                    suggest(f.name, names));
        }
        out.push_back(std::move(f));
    }
    return out;
}

}  // namespace lapheat::scenario
