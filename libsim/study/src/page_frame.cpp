// What every page has: its head, the choice between systems of units, sections, cautions.
#include "page_parts.hpp"
#include "words.hpp"

namespace lapheat::study::page {

using html::element, html::tag;

Html head(const std::string& title) {
    return element("meta", {{"charset", "utf-8"}}) +
           element("meta",
                   {{"name", "viewport"}, {"content", "width=device-width,initial-scale=1"}}) +
           tag("title", title) + style();
}

Html choice_of_units(units::System shown) {
    const auto one = [&](units::System system, const char* name, const char* words) {
        html::Attributes input = {{"type", "radio"}, {"name", "units"}, {"id", name}};
        if (system == shown) input.push_back({"checked", ""});
        return element("input", input) + element("label", {{"for", name}}, words);
    };
    return one(units::System::si, "units-si", "metric units") +
           one(units::System::us, "units-us", "US units");
}

Html section(const std::string& name, const std::string& id, const std::string& title,
             const Html& body) {
    return element("section", {{"class", "about-" + name}, {"aria-labelledby", id}},
                   element("h2", {{"id", id}}, title), body) +
           "\n";
}

Html list(const std::vector<std::string>& items, const std::string& css) {
    Html out;
    for (const std::string& item : items) out += tag("li", sentence_case(item));
    return element("ul", {{"class", css}}, out);
}

Html cautions(const std::vector<Caution>& cautions) {
    Html out;
    for (std::size_t i = 0; i < cautions.size();) {
        const std::string about = cautions[i].about;
        std::vector<std::string> texts;
        for (; i < cautions.size() && cautions[i].about == about; ++i)
            texts.push_back(cautions[i].text);
        out += tag("h3", about) + list(texts, "cautions");
    }
    return out;
}

}  // namespace lapheat::study::page
