#include "lapheat/results/html.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <stdexcept>

#include "lapheat/results/words.hpp"
#include "lapheat/units/utf8.hpp"

namespace lapheat::results::html {
namespace {

constexpr std::string_view void_elements[] = {"br", "hr", "img", "input", "link", "meta"};

const char* entity(char c) {
    switch (c) {
        case '&':
            return "&amp;";
        case '<':
            return "&lt;";
        case '>':
            return "&gt;";
        case '"':
            return "&quot;";
        case '\'':
            return "&#39;";
        default:
            return nullptr;
    }
}

/// C0 but tab and line feed, DEL, C1: nothing that a reader sees.
bool control(std::string_view one) {
    const auto first = static_cast<unsigned char>(one[0]);
    if (one.size() == 1) return (first < 0x20 && one[0] != '\n' && one[0] != '\t') || first == 0x7F;
    return first == 0xC2 && static_cast<unsigned char>(one[1]) < 0xA0;
}

const char* css_class(Tone tone) {
    switch (tone) {
        case Tone::good:
            return "yes";
        case Tone::warning:
            return "close";
        case Tone::bad:
            return "no";
        case Tone::faint:
            return "faint";
        case Tone::plain:
        case Tone::strong:
        case Tone::code:
            break;
    }
    return "";
}

/// A cell says its column's heading itself, for screens too narrow for a table.
Html cell(const TableCell& cell, const TableColumn& column) {
    std::string classes = column.align == Align::right ? "number" : "";
    if (const std::string tone = css_class(cell.tone); !tone.empty())
        classes += (classes.empty() ? "" : " ") + tone;
    const Html text = cell.tone == Tone::strong ? tag("strong", cell.text)
                      : cell.tone == Tone::code ? tag("code", cell.text)
                                                : Html(cell.text);
    Attributes attributes;
    if (!classes.empty()) attributes.push_back({"class", classes});
    if (!cell.text.empty()) attributes.push_back({"data-label", sentence_case(column.heading)});
    return element("td", attributes, text);
}

Html row(const TextTable& table, const std::vector<TableCell>& cells) {
    const TableCell& first = cells.front();
    const Html head = first.tone == Tone::code ? tag("code", first.text)
                                               : Html(sentence_case(plain_name(first.text)));
    if (cells.size() == 1 && table.columns.size() > 1)
        return tag("tr", element("th",
                                 {{"scope", "rowgroup"},
                                  {"colspan", fmt::format("{}", table.columns.size())}},
                                 head));
    Html out = element("th", {{"scope", "row"}}, head);
    for (std::size_t i = 1; i < table.columns.size(); ++i)
        out += i < cells.size() ? cell(cells[i], table.columns[i]) : tag("td");
    return tag("tr", out);
}

}  // namespace

std::string escaped(std::string_view text) {
    std::string out;
    out.reserve(text.size());
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t bytes = units::utf8_length(text, at);
        const std::string_view one = text.substr(at, std::max<std::size_t>(bytes, 1));
        at += one.size();
        if (bytes == 0)
            out += "\xEF\xBF\xBD";
        else if (const char* as = entity(one[0]))
            out += as;
        else if (!control(one))
            out += one;
    }
    return out;
}

Html enclosed(Name name, const Attributes& attributes, const Html& inside) {
    const bool is_void = std::find(std::begin(void_elements), std::end(void_elements),
                                   name.text()) != std::end(void_elements);
    if (is_void && !inside.empty()) throw std::logic_error("this element holds nothing");
    Html out;
    out.markup_.append("<").append(name.text());
    for (const Attribute& a : attributes)
        out.markup_.append(" ").append(a.name.text()).append("=\"").append(escaped(a.value)) += '"';
    out.markup_ += '>';
    if (is_void) return out;
    out.markup_ += inside.markup_;
    out.markup_.append("</").append(name.text()) += '>';
    return out;
}

Html style(Literal css) {
    Html out;
    out.markup_.append("<style>").append(css.text()).append("</style>");
    return out;
}

Html script(Literal javascript) {
    Html out;
    out.markup_.append("<script>").append(javascript.text()).append("</script>");
    return out;
}

Html document(const Html& head, const Html& body) {
    Html out;
    out.markup_ = "<!DOCTYPE html>\n";
    out += element("html", {{"lang", "en"}}, tag("head", head), "\n", tag("body", body));
    out.markup_ += '\n';
    return out;
}

Html table(const TextTable& table) {
    Html heads, rows;
    for (const TableColumn& column : table.columns) {
        const std::string head = sentence_case(column.heading);
        heads += column.align == Align::right
                     ? element("th", {{"scope", "col"}, {"class", "number"}}, head)
                     : element("th", {{"scope", "col"}}, head);
    }
    for (const std::vector<TableCell>& cells : table.rows)
        if (!cells.empty()) rows += row(table, cells);
    if (rows.empty()) return {};
    return element(
        "div",
        {{"class", "scroll"}, {"role", "region"}, {"tabindex", "0"}, {"aria-label", table.title}},
        tag("table", tag("caption", table.title), tag("thead", tag("tr", heads)),
            tag("tbody", rows)));
}

}  // namespace lapheat::results::html
