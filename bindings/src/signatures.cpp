// pybind11 writes a function's signature, types and all, into the first line of its docstring;
// Python's inspect, and with it completion and documentation, wants "name(a, *, b=1)\n--\n\n" at
// its beginning (CPython, Objects/typeobject.c, find_signature). The types stand in the stubs.
#include <algorithm>
#include <cstdlib>
#include <cstring>
#include <string>
#include <string_view>
#include <vector>

#include "lapheat/drive/columns.hpp"
#include "module.hpp"

namespace lapheat::python {
namespace {

/// What stands outside brackets and quotes is split at `separator`.
std::vector<std::string> split(std::string_view text, char separator) {
    std::vector<std::string> out(1);
    int depth = 0;
    char quote = 0;
    for (const char c : text) {
        if (quote != 0)
            quote = c == quote ? '\0' : quote;
        else if (c == '\'' || c == '"')
            quote = c;
        else if (c == '[' || c == '(' || c == '{')
            ++depth;
        else if (c == ']' || c == ')' || c == '}')
            --depth;
        else if (c == separator && depth == 0) {
            out.emplace_back();
            continue;
        }
        out.back() += c;
    }
    return out;
}

std::string trimmed(std::string_view text) {
    const std::size_t first = text.find_first_not_of(' ');
    if (first == std::string_view::npos) return {};
    return std::string(text.substr(first, text.find_last_not_of(' ') - first + 1));
}

/// inspect reads literals only.
bool literal(const std::string& text) {
    if (text == "None" || text == "True" || text == "False" || text == "[]" || text == "{}")
        return true;
    if (text.size() > 1 && text.front() == '\'' && text.back() == '\'') return true;
    char* end = nullptr;
    std::strtod(text.c_str(), &end);
    const bool words = text.find_first_of("in") != std::string::npos;  // inf, nan
    return !text.empty() && *end == '\0' && !words;
}

/// "cycle: object = None" as "cycle=None".
std::string argument(const std::string& stated) {
    const std::vector<std::string> halves = split(stated, '=');
    std::string out = trimmed(split(halves.front(), ':').front());
    if (halves.size() > 1) {
        const std::string value = trimmed(halves[1]);
        out += "=" + (literal(value) ? value : std::string("..."));
    }
    return out;
}

/// What takes keywords takes the columns of a cycle, each by its name; None leaves one out.
void add_columns(std::vector<std::string>& arguments) {
    const auto there = [&](const std::string& name) {
        return std::any_of(arguments.begin(), arguments.end(),
                           [&](const std::string& a) { return a.substr(0, a.find('=')) == name; });
    };
    if (!there("*")) arguments.emplace_back("*");
    for (const auto& [name, values] : drive::columns_of({}))
        if (name != "time" && !there(name)) arguments.push_back(name + "=None");
}

void give_signature(PyObject* object) {
    if (!PyCFunction_Check(object)) return;
    PyMethodDef* method = reinterpret_cast<PyCFunctionObject*>(object)->m_ml;
    if (method->ml_doc == nullptr) return;
    const std::string_view doc = method->ml_doc;
    const std::string name = method->ml_name;
    const std::size_t line = std::min(doc.find('\n'), doc.size());
    const std::size_t arrow = doc.substr(0, line).rfind(") -> ");
    if (!doc.starts_with(name + "(") || arrow == std::string_view::npos) return;
    std::vector<std::string> arguments;
    for (const std::string& one : split(doc.substr(name.size() + 1, arrow - name.size() - 1), ','))
        if (const std::string text = argument(one); text.starts_with("**"))
            add_columns(arguments);
        else if (!text.empty())
            arguments.push_back(text);
    std::string signature;
    for (const std::string& text : arguments) signature += (signature.empty() ? "" : ", ") + text;
    const std::size_t rest = std::min(doc.find_first_not_of('\n', line), doc.size());
    std::string words(doc.substr(rest));
    while (words.ends_with('\n')) words.pop_back();
    const std::string whole = name + "(" + signature + ")\n--\n\n" + words;
    char* kept = ::strdup(whole.c_str());
    std::free(
        const_cast<char*>(method->ml_doc));  // pybind11 has made it by strdup, and frees it so
    method->ml_doc = kept;
}

}  // namespace

void give_signatures(const py::module_& m) {
    for (const auto& [key, value] : m.attr("__dict__").cast<py::dict>()) {
        give_signature(value.ptr());
        if (!PyType_Check(value.ptr())) continue;
        const py::object members = value.attr("__dict__");
        for (const auto& item : py::list(members.attr("items")())) {
            const auto member = item.cast<py::tuple>();
            const py::object method = member[1];
            if (PyInstanceMethod_Check(method.ptr()))
                give_signature(PyInstanceMethod_GET_FUNCTION(method.ptr()));
        }
    }
}

}  // namespace lapheat::python
