// HTML that cannot be broken out of: text and attribute values are escaped by whoever takes them,
// names of elements and attributes are literals checked when compiled, tags close what they open.
//
//     html::Html row = html::tag("tr", html::element("th", {{"scope", "row"}}, loop_name),
//                                html::tag("td", "12 K"));
//
// There is no way to add markup as text. Style and script are literals.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "lapheat/results/table.hpp"

namespace lapheat::results::html {

/// A literal name: lower-case letters, digits and '-' ("viewBox" and its like keep their capitals).
/// "script" and "style" have functions of their own; "on…" would be an attribute that runs.
class Name {
  public:
    consteval Name(const char* literal) : text_(literal) {
        const std::string_view name = literal;
        if (name.empty() || name == "script" || name == "style" || name.starts_with("on"))
            throw "no name for an element or attribute made here";
        for (const char c : name)
            if (!((c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') ||
                  c == '-'))
                throw "a name holds letters, digits and '-'";
    }
    [[nodiscard]] constexpr std::string_view text() const { return text_; }

  private:
    std::string_view text_;
};

/// Text of a style or a script: a literal that does not close its element.
class Literal {
  public:
    consteval Literal(const char* literal) : text_(literal) {
        if (text_.find("</") != std::string_view::npos ||
            text_.find("<!--") != std::string_view::npos)
            throw "it would end its element";
    }
    [[nodiscard]] constexpr std::string_view text() const { return text_; }

  private:
    std::string_view text_;
};

struct Attribute {
    Name name;
    std::string value;  ///< escaped when written
};
using Attributes = std::vector<Attribute>;

/// Text safe in elements and quoted attributes: markup as entities, control characters dropped but
/// for tab and line feed, bytes that are not UTF-8 replaced by U+FFFD.
[[nodiscard]] std::string escaped(std::string_view text);

/// A piece of HTML. Whatever text becomes one is escaped.
class Html {
  public:
    Html() = default;
    Html(std::string_view text) : markup_(escaped(text)) {}
    Html(const std::string& text) : Html(std::string_view(text)) {}
    Html(const char* text) : Html(std::string_view(text)) {}

    Html& operator+=(const Html& more) {
        markup_ += more.markup_;
        return *this;
    }
    [[nodiscard]] friend Html operator+(Html first, const Html& then) { return first += then; }
    [[nodiscard]] bool empty() const noexcept { return markup_.empty(); }
    [[nodiscard]] const std::string& markup() const noexcept { return markup_; }

  private:
    friend Html enclosed(Name name, const Attributes& attributes, const Html& inside);
    friend Html style(Literal css);
    friend Html script(Literal javascript);
    friend Html document(const Html& head, const Html& body);
    std::string markup_;
};

/// <name attributes>inside</name>; elements that hold nothing ("br", "meta") have no end tag and
/// must be given nothing inside: throws std::logic_error.
[[nodiscard]] Html enclosed(Name name, const Attributes& attributes, const Html& inside);

template <class... Inside>
[[nodiscard]] Html element(Name name, const Attributes& attributes, const Inside&... inside) {
    Html all;
    ((all += Html(inside)), ...);
    return enclosed(name, attributes, all);
}

/// An element without attributes.
template <class... Inside>
[[nodiscard]] Html tag(Name name, const Inside&... inside) {
    return element(name, {}, inside...);
}

[[nodiscard]] Html style(Literal css);
[[nodiscard]] Html script(Literal javascript);

/// A whole HTML 5 document in English.
[[nodiscard]] Html document(const Html& head, const Html& body);

/// A table as text has it, in a region that scrolls by itself: the title is the caption, the first
/// cell of a row its heading, a row of one cell heads those after it; empty rows are left out.
/// Nothing for a table without rows.
[[nodiscard]] Html table(const TextTable& table);

}  // namespace lapheat::results::html
