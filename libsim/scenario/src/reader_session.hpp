// What all readers of one document share.
#pragma once

#include <deque>
#include <memory>
#include <string>
#include <unordered_map>
#include <unordered_set>
#include <utility>
#include <vector>

#include "lapheat/scenario/reader.hpp"

namespace lapheat::scenario {

/// What was asked of one table.
struct Reader::Asked {
    std::vector<const Table*> tables;  ///< what is registered here; empty: whatever is asked for
    std::vector<std::string> keys;     ///< that were asked for
    const DocumentNode* parent = nullptr;
    bool flawed = false;                                   ///< an error was found here or within
    std::vector<std::pair<std::string, Problem>> missing;  ///< required keys that are not there
    bool doubtful = false;  ///< its kind is unknown: missing and unknown keys say nothing
};

/// A document with what its numbers came to, so that a variant is built without reading text.
struct Tree {
    Document document;
    std::unordered_map<const DocumentNode*, double> values{};  ///< SI
    std::unordered_map<const Key*, double> defaults{};         ///< SI
    std::unordered_set<std::string> paths{};                   ///< of all numbers
};

/// A number with a range that no file states, and where one would. In the reading that asks for
/// these, `path` is the number's source as well, by which it is found again in the car.
struct OpenNumber {
    std::string path;
    Quantity quantity = Quantity::ratio;
};

struct Reader::Session {
    Problems& problems;
    const Document& document;
    std::unordered_map<const DocumentNode*, Asked> asked;
    std::vector<Assumption> assumptions;
    std::vector<StatedDoubt> doubts;
    std::vector<SourceFile> tables;                    ///< CSV files
    std::vector<std::unique_ptr<DocumentNode>> empty;  ///< tables that are absent and read as empty
    std::vector<Number> numbers{};
    std::vector<Assumption> left_out{};  ///< keys, as tell() notes them; some more than once
    Tree* record = nullptr;              ///< takes what numbers came to
    const Tree* known = nullptr;         ///< of an earlier reading of the same document
    const std::unordered_map<std::string, double>* changed = nullptr;  ///< by path
    std::deque<OpenNumber>* open = nullptr;  ///< takes them; it must outlive the car that is read

    void flaw(const DocumentNode* node) {
        for (; node != nullptr; node = asked[node].parent) asked[node].flawed = true;
    }
};

/// The steps that the public functions of Reader are made of.
struct Access {
    static auto& session(Reader& r) { return *r.session_; }
    /// The value that a variant gives the number at `path`; nullptr if it stays.
    static const double* changed(const Reader& r, const std::string& path);
    /// Notes a number that was read (`node`) or assumed (nullptr), and questions an unusual one.
    static void keep(Reader& r, const DocumentNode* node, const std::string& path, const Key& key,
                     double value, double half, std::string why = {});
    /// The value of `key`, noted as asked for; nullptr if absent or unreadable.
    static const DocumentNode* value(Reader& r, const Key& key);
    /// As value(), but a missing key is an error.
    static const DocumentNode* required(Reader& r, const Key& key, const std::string& expected);
    /// As value() for a key that may be absent, else as required().
    static const DocumentNode* wanted(Reader& r, const Key& key);
    /// The key's default, an assumption if it is one; NaN if it has none.
    static double fallback(Reader& r, const Key& key);
    /// Takes a key as asked for. Throws std::logic_error if it is not in the reader's tables.
    static void note(const Reader& r, const Key& key);
    /// What holds where a key is left out, of one that is no number.
    static void tell(const Reader& r, const Key& key, std::string words);
    static void assume(Reader& r, const Key& key, std::string value, std::string_view why);
    static void error(Reader& r, const FilePlace& place, std::string key, std::string found,
                      std::string expected, std::string hint = {});
    static void wrong(Reader& r, const DocumentNode& node, std::string_view key,
                      const std::string& expected, const std::string& hint = {});
    static std::string path(const Reader& r, std::string_view key);
    /// A reader of a table within; `node` nullptr for one that is missing.
    static Reader within(Reader& r, const DocumentNode* node, std::string path, std::string name,
                         const Table* keys);
    static void finish(Reader& r, const DocumentNode& node, const std::string& path);
    /// Reports keys that nobody asked for.
    static void tell_strays(Reader& r, const DocumentNode& node,
                            const std::vector<const DocumentNode::Entry*>& strays,
                            const std::string& path);

    static std::optional<double> quantity(Reader& r, const DocumentNode& node,
                                          const std::string& path, const Key& key);
    static std::optional<double> number(Reader& r, const DocumentNode& node,
                                        const std::string& path, const Key& key);
    static std::optional<std::string> text(Reader& r, const DocumentNode& node,
                                           const std::string& key);
    static std::string reference(Reader& r, const DocumentNode& node, const std::string& key,
                                 const std::vector<std::string>& known);
};

std::string quantity_expected(Quantity what);
/// `"a", "b" or "c"`.
std::string listed(const std::vector<std::string>& words);
/// A number as a file would write it.
std::string as_text(double x);
/// NaN without one.
double default_value(const Key& key);

}  // namespace lapheat::scenario
