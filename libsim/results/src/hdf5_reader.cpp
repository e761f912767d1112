#include <fmt/core.h>

#include <hdf5_hl.h>

#include <algorithm>
#include <fstream>
#include <iterator>

#include "hdf5_handle.hpp"
#include "hdf5_seal.hpp"
#include "lapheat/results/hdf5_file.hpp"

namespace lapheat::results {
namespace fs = std::filesystem;
using h5::Identifier;

namespace {

/// More is no file of ours, and would take all memory.
constexpr hssize_t most_values = 100'000'000;

/// Texts out of an attribute or a dataset, of variable or fixed length. `read` fills memory given
/// the memory type.
template <class Read>
std::vector<std::string> texts(hid_t type, hid_t space, Read&& read) {
    const hssize_t stated = H5Sget_simple_extent_npoints(space);
    if (stated < 0 || stated > most_values) return {};
    const auto count = static_cast<std::size_t>(stated);
    std::vector<std::string> out(count);
    if (count == 0) return out;
    if (H5Tis_variable_str(type) > 0) {
        std::vector<char*> data(count, nullptr);
        Identifier memory(H5Tcopy(H5T_C_S1), H5Tclose);
        H5Tset_size(memory.get(), H5T_VARIABLE);
        H5Tset_cset(memory.get(), H5Tget_cset(type));
        if (read(memory.get(), data.data()) < 0) return {};
        for (std::size_t i = 0; i < count; ++i) out[i] = data[i] == nullptr ? "" : data[i];
        H5Dvlen_reclaim(memory.get(), space, H5P_DEFAULT, data.data());
        return out;
    }
    const std::size_t size = H5Tget_size(type);
    std::string data(count * size, '\0');
    if (read(type, data.data()) < 0) return {};
    for (std::size_t i = 0; i < count; ++i) {
        out[i] = data.substr(i * size, size);
        out[i].erase(std::find(out[i].begin(), out[i].end(), '\0'), out[i].end());
    }
    return out;
}

herr_t collect(hid_t /*group*/, const char* name, const H5L_info_t* /*info*/, void* out) {
    static_cast<std::vector<std::string>*>(out)->emplace_back(name);
    return 0;
}

herr_t collect_attribute(hid_t /*object*/, const char* name, const H5A_info_t* /*info*/,
                         void* out) {
    static_cast<std::vector<std::string>*>(out)->emplace_back(name);
    return 0;
}

herr_t scale_name(hid_t /*dataset*/, unsigned /*axis*/, hid_t scale, void* out) {
    char name[256] = "";
    H5DSget_scale_name(scale, name, sizeof name);
    *static_cast<std::string*>(out) = name;
    return 1;  // the first scale of an axis is the one
}

}  // namespace

struct Hdf5Reader::State {
    std::string name;
    fs::path where;
    Identifier file;
    h5::Heaps heaps;

    State() = default;
    State(const State&) = delete;
    State& operator=(const State&) = delete;
    ~State() {
        if (!file) return;
        const h5::Session session;
        file.reset();
    }

    [[noreturn]] void refuse(const std::string& what, const std::string& expected,
                             std::string_view path = {}) const {
        throw Error(what, expected, {name, 0, 0}, std::string(path));
    }

    void open(const fs::path& path) {
        std::error_code failed;
        if (!fs::is_regular_file(path, failed)) {
            refuse("cannot read '" + name +
                       "': " + (fs::exists(path, failed) ? "it is not a file" : "no such file"),
                   "a result written by lapheat");
        }
        {
            std::ifstream in(path, std::ios::binary);
            const std::string bytes{std::istreambuf_iterator<char>(in), {}};
            if (h5::seal_in(bytes) == h5::Seal::broken)
                refuse("'" + name + "' is damaged: its bytes are not those that were written",
                       "a result written by lapheat");
            std::optional<h5::Heaps> found = h5::heaps_in(bytes);
            if (!found)
                refuse("'" + name + "' is damaged: its texts do not add up",
                       "a result written by lapheat");
            heaps = std::move(*found);
            where = path;
        }
        file = Identifier(H5Fopen(path.c_str(), H5F_ACC_RDONLY, H5P_DEFAULT), H5Fclose);
        if (!file) {
            const std::string why = h5::last_error();
            const bool hdf5 = H5Fis_hdf5(path.c_str()) > 0;
            refuse("'" + name + "' is " + (hdf5 ? "damaged or cut short" : "not an HDF5 file") +
                       (why.empty() ? "" : " (" + why + ")"),
                   "a result written by lapheat");
        }
        const Identifier root = object("/");
        const auto format = attribute(root.get(), "format");
        const auto layout = attribute(root.get(), "layout");
        const auto* words = format ? std::get_if<std::string>(&*format) : nullptr;
        const auto* version = layout ? std::get_if<std::int64_t>(&*layout) : nullptr;
        if (words == nullptr || *words != "lapheat result" || version == nullptr) {
            refuse("'" + name + "' is an HDF5 file, but no result of lapheat",
                   "a result written by lapheat");
        }
        if (*version < 1 || *version > layout_version) {
            refuse(fmt::format("'{}' has layout {}", name, *version),
                   fmt::format("layout 1 to {}; a newer lapheat may read it", layout_version));
        }
    }

    [[nodiscard]] bool exists(const std::string& path) const {
        if (path == "/") return true;
        if (path.empty() || path.front() != '/' || path.back() == '/') return false;
        for (std::size_t slash = path.find('/', 1);; slash = path.find('/', slash + 1)) {
            const std::string part = path.substr(0, slash);
            if (H5Lexists(file.get(), part.c_str(), H5P_DEFAULT) <= 0) return false;
            if (slash == std::string::npos) return true;
        }
    }

    [[nodiscard]] Identifier object(const std::string& path) const {
        if (!exists(path)) {
            refuse("there is no '" + path + "' in '" + name + "'", "a path within it", path);
        }
        Identifier open(H5Oopen(file.get(), path.c_str(), H5P_DEFAULT), H5Oclose);
        if (!open) h5::fail("open '" + path + "'", name, path);
        return open;
    }

    [[nodiscard]] Identifier dataset(const std::string& path) const {
        Identifier open = object(path);
        if (H5Iget_type(open.get()) != H5I_DATASET) {
            refuse("'" + path + "' is a group", "a dataset", path);
        }
        return open;
    }

    [[nodiscard]] std::vector<std::string> children(const std::string& path,
                                                    H5I_type_t wanted) const {
        const Identifier open = object(path);
        if (H5Iget_type(open.get()) != H5I_GROUP) {
            refuse("'" + path + "' is a dataset", "a group", path);
        }
        std::vector<std::string> names;
        if (H5Literate(open.get(), H5_INDEX_CRT_ORDER, H5_ITER_INC, nullptr, collect, &names) < 0) {
            names.clear();
            H5Literate(open.get(), H5_INDEX_NAME, H5_ITER_INC, nullptr, collect, &names);
        }
        std::erase_if(names, [&](const std::string& child) {
            const Identifier item(H5Oopen(open.get(), child.c_str(), H5P_DEFAULT), H5Oclose);
            return !item || H5Iget_type(item.get()) != wanted;
        });
        return names;
    }

    template <class T>
    [[nodiscard]] std::vector<T> values(const std::string& path, hid_t memory) const {
        const Identifier open = dataset(path);
        const Identifier type(H5Dget_type(open.get()), H5Tclose);
        const H5T_class_t kind = H5Tget_class(type.get());
        if (kind != H5T_INTEGER && kind != H5T_FLOAT) {
            refuse("'" + path + "' does not hold numbers", "a dataset of numbers", path);
        }
        const Identifier space(H5Dget_space(open.get()), H5Sclose);
        const hssize_t count = H5Sget_simple_extent_npoints(space.get());
        if (count < 0 || count > most_values)
            refuse(fmt::format("'{}' states {} values", path, count), "100 million at most", path);
        std::vector<T> out(static_cast<std::size_t>(count));
        if (!out.empty() &&
            H5Dread(open.get(), memory, H5S_ALL, H5S_ALL, H5P_DEFAULT, out.data()) < 0) {
            h5::fail("read '" + path + "'", name, path);
        }
        return out;
    }

    /// Refuses texts whose references lead nowhere.
    void follow(hid_t texts, const std::string& path) const {
        const haddr_t begin = H5Dget_offset(texts);
        if (begin == HADDR_UNDEF) return;  // in chunks, or none
        std::string references(static_cast<std::size_t>(H5Dget_storage_size(texts)), '\0');
        std::ifstream in(where, std::ios::binary);
        in.seekg(static_cast<std::streamoff>(begin));
        in.read(references.data(), static_cast<std::streamsize>(references.size()));
        if (!in || !h5::lead_to_texts(references, heaps))
            refuse("'" + name + "' is damaged: the texts of '" + path + "' are not there",
                   "a result written by lapheat", path);
    }

    [[nodiscard]] std::vector<std::string> strings(const std::string& path) const {
        const Identifier open = dataset(path);
        const Identifier type(H5Dget_type(open.get()), H5Tclose);
        if (H5Tget_class(type.get()) != H5T_STRING) {
            refuse("'" + path + "' does not hold text", "a dataset of text", path);
        }
        const Identifier space(H5Dget_space(open.get()), H5Sclose);
        if (H5Tis_variable_str(type.get()) > 0) follow(open.get(), path);
        auto out = texts(type.get(), space.get(), [&](hid_t memory, void* data) {
            return H5Dread(open.get(), memory, H5S_ALL, H5S_ALL, H5P_DEFAULT, data);
        });
        if (out.empty() && H5Sget_simple_extent_npoints(space.get()) > 0) {
            h5::fail("read '" + path + "'", name, path);
        }
        return out;
    }

    [[nodiscard]] static std::optional<AttributeValue> attribute(hid_t object, const char* key) {
        if (H5Aexists(object, key) <= 0) return std::nullopt;
        const Identifier open(H5Aopen(object, key, H5P_DEFAULT), H5Aclose);
        const Identifier type(H5Aget_type(open.get()), H5Tclose);
        const Identifier space(H5Aget_space(open.get()), H5Sclose);
        const bool scalar = H5Sget_simple_extent_type(space.get()) == H5S_SCALAR;
        const auto count = static_cast<std::size_t>(H5Sget_simple_extent_npoints(space.get()));
        switch (H5Tget_class(type.get())) {
            case H5T_STRING: {
                auto list = texts(type.get(), space.get(), [&](hid_t memory, void* data) {
                    return H5Aread(open.get(), memory, data);
                });
                if (!scalar) return list;
                return list.empty() ? std::string() : list.front();
            }
            case H5T_FLOAT: {
                if (count > most_values) return std::nullopt;
                std::vector<double> list(count);
                if (count > 0) H5Aread(open.get(), H5T_NATIVE_DOUBLE, list.data());
                if (scalar) return list.front();
                return list;
            }
            case H5T_INTEGER: {
                if (count > most_values) return std::nullopt;
                std::vector<std::int64_t> list(count);
                if (count > 0) H5Aread(open.get(), H5T_NATIVE_INT64, list.data());
                if (scalar) return list.front();
                return list;
            }
            default:
                return std::nullopt;
        }
    }
};

Hdf5Reader::Hdf5Reader(const fs::path& file) : state_(std::make_unique<State>()) {
    const h5::Session session;
    state_->name = file.string();
    state_->open(file);
}

Hdf5Reader::~Hdf5Reader() = default;
Hdf5Reader::Hdf5Reader(Hdf5Reader&& other) noexcept = default;
Hdf5Reader& Hdf5Reader::operator=(Hdf5Reader&& other) noexcept = default;

std::vector<std::string> Hdf5Reader::groups(std::string_view path) const {
    const h5::Session session;
    return state_->children(std::string(path), H5I_GROUP);
}

std::vector<std::string> Hdf5Reader::datasets(std::string_view path) const {
    const h5::Session session;
    return state_->children(std::string(path), H5I_DATASET);
}

bool Hdf5Reader::has(std::string_view path) const {
    const h5::Session session;
    return state_->exists(std::string(path));
}

std::vector<std::size_t> Hdf5Reader::shape(std::string_view path) const {
    const h5::Session session;
    const Identifier open = state_->dataset(std::string(path));
    const Identifier space(H5Dget_space(open.get()), H5Sclose);
    std::vector<hsize_t> lengths(
        static_cast<std::size_t>(std::max(0, H5Sget_simple_extent_ndims(space.get()))));
    if (!lengths.empty()) H5Sget_simple_extent_dims(space.get(), lengths.data(), nullptr);
    return {lengths.begin(), lengths.end()};
}

std::vector<std::string> Hdf5Reader::dimensions(std::string_view path) const {
    const h5::Session session;
    const Identifier open = state_->dataset(std::string(path));
    const Identifier space(H5Dget_space(open.get()), H5Sclose);
    std::vector<std::string> out;
    if (H5DSis_scale(open.get()) > 0) {
        out.emplace_back();
        scale_name(open.get(), 0, open.get(), &out.back());
        return out;
    }
    const int axes = H5Sget_simple_extent_ndims(space.get());
    for (int axis = 0; axis < axes; ++axis) {
        out.emplace_back();
        H5DSiterate_scales(open.get(), static_cast<unsigned>(axis), nullptr, scale_name,
                           &out.back());
    }
    return out;
}

std::vector<double> Hdf5Reader::numbers(std::string_view path) const {
    const h5::Session session;
    return state_->values<double>(std::string(path), H5T_NATIVE_DOUBLE);
}

std::vector<std::int64_t> Hdf5Reader::integers(std::string_view path) const {
    const h5::Session session;
    return state_->values<std::int64_t>(std::string(path), H5T_NATIVE_INT64);
}

std::vector<std::string> Hdf5Reader::strings(std::string_view path) const {
    const h5::Session session;
    return state_->strings(std::string(path));
}

double Hdf5Reader::number(std::string_view path) const {
    const std::vector<double> all = numbers(path);
    if (all.size() != 1) {
        state_->refuse(fmt::format("'{}' holds {} values", path, all.size()), "one", path);
    }
    return all.front();
}

void Hdf5Reader::need_rows(std::size_t found, std::size_t expected, std::string_view path) const {
    if (found != expected)
        state_->refuse(fmt::format("'{}' has {} values", path, found),
                       fmt::format("{}, as what belongs to it has", expected), path);
}

std::string Hdf5Reader::text(std::string_view path) const {
    std::vector<std::string> all = strings(path);
    if (all.size() != 1) {
        state_->refuse(fmt::format("'{}' holds {} texts", path, all.size()), "one", path);
    }
    return std::move(all.front());
}

Attributes Hdf5Reader::attributes(std::string_view path) const {
    const h5::Session session;
    const Identifier open = state_->object(std::string(path));
    std::vector<std::string> names;
    H5Aiterate2(open.get(), H5_INDEX_NAME, H5_ITER_INC, nullptr, collect_attribute, &names);
    Attributes out;
    for (std::string& key : names) {
        if (key == "CLASS" || key == "NAME") continue;  // the scale's own
        if (auto value = State::attribute(open.get(), key.c_str())) {
            out.emplace_back(std::move(key), std::move(*value));
        }
    }
    return out;
}

std::optional<AttributeValue> Hdf5Reader::attribute(std::string_view path,
                                                    std::string_view key) const {
    const h5::Session session;
    const Identifier open = state_->object(std::string(path));
    return State::attribute(open.get(), std::string(key).c_str());
}

std::string Hdf5Reader::label(std::string_view path, std::string_view key) const {
    const auto value = attribute(path, key);
    const auto* text = value ? std::get_if<std::string>(&*value) : nullptr;
    return text == nullptr ? std::string() : *text;
}

}  // namespace lapheat::results
