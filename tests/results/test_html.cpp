// Text cannot become markup, wherever it is put.
#include <algorithm>
#include <catch2/catch.hpp>
#include <stdexcept>

#include "lapheat/results/html.hpp"

using namespace lapheat::results;
using namespace lapheat::results::html;

TEST_CASE("the five characters of markup are entities in elements and in attributes") {
    const std::string evil = "</p><script>alert(\"x\" + 'y')</script>&amp;";
    const std::string shown =
        "&lt;/p&gt;&lt;script&gt;alert(&quot;x&quot; + &#39;y&#39;)&lt;/script&gt;&amp;amp;";
    CHECK(escaped(evil) == shown);
    CHECK(tag("p", evil).markup() == "<p>" + shown + "</p>");
    CHECK(element("a", {{"href", evil}}, "x").markup() == "<a href=\"" + shown + "\">x</a>");
}

TEST_CASE("no character that ends a tag, an attribute or an entity comes through") {
    std::string every;
    for (int c = 1; c < 256; ++c) every += static_cast<char>(c);
    for (const std::string& text : {every, every + every, std::string(3, '\0') + "<"}) {
        const std::string inside = element("td", {{"title", text}}, text).markup();
        const std::string head = "<td title=\"", tail = "</td>";
        REQUIRE(inside.starts_with(head));
        REQUIRE(inside.ends_with(tail));
        const std::string rest =
            inside.substr(head.size(), inside.size() - head.size() - tail.size());
        CHECK(std::count(rest.begin(), rest.end(), '<') == 0);
        CHECK(std::count(rest.begin(), rest.end(), '>') == 1);  // of the start tag
        CHECK(std::count(rest.begin(), rest.end(), '"') == 1);  // end of the attribute
        CHECK(rest.find('\'') == std::string::npos);
    }
}

TEST_CASE("control characters are dropped, but for tab and line feed") {
    CHECK(escaped(std::string("a\0b\x1b[31mc\x7f\r\t\n", 13)) == "ab[31mc\t\n");
    CHECK(escaped("a\xC2\x85z") == "az");  // C1, next line
    CHECK(escaped("\xC2\xA0") == "\xC2\xA0");
}

TEST_CASE("bytes that are not UTF-8 are replaced, text in other alphabets stays") {
    CHECK(escaped("Kühler für °C, 冷却, 😀") == "Kühler für °C, 冷却, 😀");
    const std::string bad = "\xEF\xBF\xBD";
    CHECK(escaped("\xff") == bad);
    CHECK(escaped("\xC0\xBC") == bad + bad);  // '<' written too long
    CHECK(escaped("\xE0\x80\xBC") == bad + bad + bad);
    CHECK(escaped("\xED\xA0\x80") == bad + bad + bad);  // half of a surrogate pair
    CHECK(escaped("\xE2\x82") == bad + bad);            // cut short
    CHECK(escaped("\xE2<") == bad + "&lt;");            // does not swallow what follows
}

TEST_CASE("elements close what they open, and those that hold nothing stay alone") {
    CHECK(tag("dl", tag("dt", "a"), tag("dd", tag("em", "b"))).markup() ==
          "<dl><dt>a</dt><dd><em>b</em></dd></dl>");
    CHECK(tag("br").markup() == "<br>");
    CHECK_THROWS_AS(tag("br", "text"), std::logic_error);
    CHECK(document(tag("title", "<"), tag("p", "x")).markup() ==
          "<!DOCTYPE html>\n<html lang=\"en\"><head><title>&lt;</title></head>\n"
          "<body><p>x</p></body></html>\n");
}

TEST_CASE("a table of text is a table of HTML: caption, headings, groups, tones") {
    TextTable t;
    t.title = "Lines & \"costs\"";
    t.columns = {{"line"}, {"length", Align::right}};
    t.rows = {{{"engine_oil", Tone::strong}},
              {{"supply hose"}, {"2.1 m"}},
              {},
              {{"<b>"}, {"-1 K", Tone::bad}}};
    const std::string html = table(t).markup();
    CHECK(html.find("<caption>Lines &amp; &quot;costs&quot;</caption>") != std::string::npos);
    CHECK(html.find("<th scope=\"rowgroup\" colspan=\"2\">Engine oil</th>") != std::string::npos);
    CHECK(html.find("<th scope=\"row\">Supply hose</th><td class=\"number\" "
                    "data-label=\"Length\">2.1 m</td>") != std::string::npos);
    CHECK(html.find("<th scope=\"row\">&lt;b&gt;</th><td class=\"number no\" "
                    "data-label=\"Length\">-1 K</td>") != std::string::npos);
    CHECK(std::string::npos == html.find("<tr></tr>"));
    t.rows.clear();
    CHECK(table(t).empty());
}
