#include "lapheat/scenario/document.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <charconv>
#include <sstream>

#include "files.hpp"
#include "merge.hpp"
#include "toml_tree.hpp"

namespace lapheat::scenario {
namespace fs = std::filesystem;
namespace {

std::string number_text(double x) {
    char buffer[32];
    const auto end = std::to_chars(buffer, buffer + sizeof buffer, x).ptr;
    return {buffer, end};
}

/// Follows `extends` from file to file; `open` holds the files being read, the outermost first.
class Loader {
  public:
    Loader(Document& document, Problems& problems) : document_(document), problems_(problems) {}

    DocumentNode read(const fs::path& path, const FilePlace& asked_at, const std::string& key) {
        constexpr int most_files = 200;  // files that extend others twice over multiply
        if (++read_ > most_files) {
            problems_.error(asked_at, key, "more than 200 files are extended");
            return broken(asked_at);
        }
        const fs::path identity = identity_of(path);
        if (std::find(open_.begin(), open_.end(), identity) != open_.end()) {
            problems_.error(asked_at, key, "'" + path.string() + "' extends itself in a circle",
                            "a file that does not lead back here");
            return broken(asked_at);
        }
        std::string text;
        if (const std::string reason = read_file(path, text, problems_); !reason.empty()) {
            problems_.add({.place = asked_at.file.empty() ? FilePlace{path.string()} : asked_at,
                           .key = key,
                           .found = "cannot read '" + path.string() + "': " + reason,
                           .expected = {},
                           .hint = {},
                           .is_cause = true});
            return broken(asked_at);
        }
        if (const NotText why = not_text(text); !why.reason.empty()) {
            const FilePlace at = {path.string(), why.line, why.column};
            problems_.cause(at, "cannot read '" + path.string() + "': " + why.reason, why.hint);
            return broken(at);
        }
        open_.push_back(identity);
        DocumentNode out = lay(std::move(text), path.string());
        open_.pop_back();
        return out;
    }

    /// As read(), for text that is here already.
    DocumentNode read_text(std::string text, const std::string& name) {
        open_.push_back(identity_of(name));
        return lay(std::move(text), name);
    }

  private:
    static fs::path identity_of(const fs::path& path) {
        std::error_code failed;
        fs::path out = fs::weakly_canonical(path, failed);
        return failed ? path : out;
    }

    /// The tree of `text`, laid over what it extends.
    DocumentNode lay(std::string text, const std::string& file) {
        DocumentNode own = toml_tree(text, file, problems_);
        stamp(own, layer());
        const bool known = std::any_of(document_.files.begin(), document_.files.end(),
                                       [&](const SourceFile& f) { return f.path == file; });
        if (!known) document_.files.push_back({file, std::move(text)});
        if (own.kind != DocumentNode::Kind::table) return own;
        DocumentNode base;
        base.place = own.place;
        base.key_place = own.place;
        const auto extends = std::find_if(own.entries.begin(), own.entries.end(),
                                          [](const auto& e) { return e.key == "extends"; });
        if (extends != own.entries.end()) {
            const DocumentNode names = std::move(extends->value);
            own.entries.erase(extends);
            for (const DocumentNode& name : as_list(names)) extend(base, name, file);
        }
        if (base.kind == DocumentNode::Kind::broken) return base;
        merge(base, std::move(own), problems_);
        return base;
    }

    /// Of the file being read: those that extend it lie over it, and of a list the later over the
    /// earlier.
    [[nodiscard]] int layer() const {
        return 1'000'000 - 1000 * static_cast<int>(open_.size()) + read_;
    }

    static void stamp(DocumentNode& node, int layer) {
        node.layer = layer;
        for (DocumentNode& item : node.items) stamp(item, layer);
        for (auto& [key, value] : node.entries) stamp(value, layer);
    }

    static std::vector<DocumentNode> as_list(const DocumentNode& names) {
        return names.kind == DocumentNode::Kind::array ? names.items
                                                       : std::vector<DocumentNode>{names};
    }

    void extend(DocumentNode& base, const DocumentNode& name, const std::string& file) {
        if (name.kind == DocumentNode::Kind::broken) return;
        if (name.kind != DocumentNode::Kind::text || name.text.empty()) {
            problems_.error(name.place, "extends", "found " + to_string(name),
                            "the path of a file, such as \"car.toml\"");
            return;
        }
        const fs::path path = (fs::path(file).parent_path() / name.text).lexically_normal();
        DocumentNode below = read(path, name.place, "extends");
        if (below.kind == DocumentNode::Kind::broken) {
            base = std::move(below);  // without its base, a file would seem to lack everything
        } else if (base.kind == DocumentNode::Kind::table) {
            merge(base, std::move(below), problems_);
        }
    }

    static DocumentNode broken(const FilePlace& place) {
        DocumentNode out;
        out.kind = DocumentNode::Kind::broken;
        out.place = place;
        out.key_place = place;
        return out;
    }

    Document& document_;
    Problems& problems_;
    std::vector<fs::path> open_;
    int read_ = 0;
};

}  // namespace

const DocumentNode* DocumentNode::find(std::string_view key) const noexcept {
    for (const auto& [name, value] : entries) {
        if (name == key) return &value;
    }
    return nullptr;
}

DocumentNode* DocumentNode::find(std::string_view key) noexcept {
    return const_cast<DocumentNode*>(std::as_const(*this).find(key));
}

std::string to_string(const DocumentNode& node) {
    constexpr std::size_t longest = 60;
    switch (node.kind) {
        case DocumentNode::Kind::table:
            return "a table";
        case DocumentNode::Kind::array:
            return fmt::format("an array of {}", node.items.size());
        case DocumentNode::Kind::text:
            return "\"" +
                   (node.text.size() > longest ? node.text.substr(0, longest) + "..." : node.text) +
                   "\"";
        case DocumentNode::Kind::integer:
            return fmt::format("{}", node.integer);
        case DocumentNode::Kind::real:
            return number_text(node.real);
        case DocumentNode::Kind::boolean:
            return node.boolean ? "true" : "false";
        case DocumentNode::Kind::date:
            return node.text;
        case DocumentNode::Kind::broken:
            return "what cannot be read";
    }
    return {};
}

Document load(const fs::path& path, Problems& problems) {
    Document document;
    document.root = Loader(document, problems).read(path, {}, {});
    return document;
}

Document load(const fs::path& path) {
    Problems problems;
    Document document = load(path, problems);
    problems.throw_if_any();
    return document;
}

bool holds_broken(const DocumentNode& node) {
    if (node.kind == DocumentNode::Kind::broken) return true;
    return std::any_of(node.items.begin(), node.items.end(), holds_broken) ||
           std::any_of(node.entries.begin(), node.entries.end(),
                       [](const DocumentNode::Entry& e) { return holds_broken(e.value); });
}

std::string by_names(const DocumentNode& root, std::string_view path) {
    std::string out;
    const DocumentNode* node = &root;
    while (!path.empty()) {
        if (path.front() == '.') path.remove_prefix(1), out += '.';
        std::size_t end = 0;
        if (path.starts_with('[')) {
            end = std::min(path.find(']'), path.size() - 1) + 1;
            std::size_t index = 0;
            std::from_chars(path.data() + 1, path.data() + end, index);
            const bool there = node != nullptr && index >= 1 && index <= node->items.size();
            node = there ? &node->items[index - 1] : nullptr;
            const DocumentNode* name = there ? node->find("name") : nullptr;
            if (name != nullptr && name->kind == DocumentNode::Kind::text)
                out += ".\"" + name->text + '"';
            else
                out += path.substr(0, end);
        } else {
            const bool quoted = path.starts_with('"');
            end = quoted ? std::min(path.find('"', 1), path.size() - 1) + 1
                         : std::min(path.find_first_of(".["), path.size());
            const std::string_view key = quoted ? path.substr(1, end - 2) : path.substr(0, end);
            node = node == nullptr ? nullptr : node->find(key);
            out += path.substr(0, end);
        }
        path.remove_prefix(end == 0 ? 1 : end);
    }
    return out;
}

Document parse(std::string text, const std::string& name, Problems& problems) {
    Document document;
    document.root = Loader(document, problems).read_text(std::move(text), name);
    return document;
}

Document parse(std::string text, const std::string& name) {
    Problems problems;
    Document document = parse(std::move(text), name, problems);
    problems.throw_if_any();
    return document;
}

}  // namespace lapheat::scenario
