// What logs told of a car in one place, laid over the same car in another.
#include "lapheat/scenario/fitted.hpp"

#include <algorithm>

#include "lapheat/model/assumptions.hpp"

namespace lapheat::scenario {
namespace {

std::string text_of(const DocumentNode& item, const char* key) {
    const DocumentNode* node = item.find(key);
    return node != nullptr && node->kind == DocumentNode::Kind::text ? node->text : std::string();
}

/// True where the car has the number: one that it assumes, or keys that its files state a doubt of.
bool has_number(const Scenario& car, const std::vector<model::CarAssumption>& assumed,
                const DocumentNode& item) {
    if (const DocumentNode* keys = item.find("keys"))
        return std::ranges::all_of(keys->items, [&](const DocumentNode& key) {
            return std::ranges::find(car.doubts, key.text, &StatedDoubt::path) != car.doubts.end();
        });
    const std::string of = text_of(item, "of"), name = text_of(item, "name");
    return std::ranges::any_of(
        assumed, [&](const model::CarAssumption& a) { return a.of == of && a.name == name; });
}

/// [fitted] with the numbers that the car has, each with its correlations to those that stay.
DocumentNode only_known(const Scenario& car, const DocumentNode& fitted,
                        std::vector<std::string>& left_out) {
    model::Car copy = car.car;
    const std::vector<model::CarAssumption> assumed = model::assumptions(copy);
    DocumentNode out = fitted;
    DocumentNode* numbers = out.find("numbers");
    if (numbers == nullptr) return out;
    std::vector<DocumentNode> kept;
    std::vector<bool> stays;
    for (DocumentNode& item : numbers->items) {
        if (DocumentNode* with = item.find("correlation")) {
            std::vector<DocumentNode> some;
            for (std::size_t j = 0; j < with->items.size() && j < stays.size(); ++j)
                if (stays[j]) some.push_back(with->items[j]);
            with->items = std::move(some);
        }
        stays.push_back(has_number(car, assumed, item));
        if (stays.back())
            kept.push_back(std::move(item));
        else
            left_out.push_back(text_of(item, "name") + " (" + text_of(item, "of") + ")");
    }
    numbers->items = std::move(kept);
    return out;
}

}  // namespace

Scenario read_with_fitted(const std::filesystem::path& file, const std::filesystem::path& fitted,
                          const std::vector<std::filesystem::path>& cycles,
                          std::vector<std::string>& left_out) {
    const Scenario plain = read(file, cycles);
    const Document told = load(fitted);
    const DocumentNode* table = told.root.find("fitted");
    if (table == nullptr)
        throw Error("there is no [fitted]", "a file that `lapheat fit --write` made",
                    {fitted.string(), 0, 0}, "fitted");
    Document document = load(file);
    DocumentNode laid = only_known(plain, *table, left_out);
    if (DocumentNode* there = document.root.find("fitted"))
        *there = std::move(laid);
    else
        document.root.entries.emplace_back("fitted", std::move(laid));
    for (const SourceFile& source : told.files)
        if (std::ranges::find(document.files, source.path, &SourceFile::path) ==
            document.files.end())
            document.files.push_back(source);
    return read(document, file.parent_path(), cycles);
}

}  // namespace lapheat::scenario
