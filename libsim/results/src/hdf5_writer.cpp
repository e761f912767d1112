#include <fmt/core.h>

#include <hdf5_hl.h>

#include <algorithm>
#include <functional>
#include <map>
#include <numeric>

#include "hdf5_handle.hpp"
#include "hdf5_image.hpp"
#include "hdf5_seal.hpp"
#include "keep_bits.hpp"
#include "lapheat/results/hdf5_file.hpp"
#include "lapheat/results/text_file.hpp"

namespace lapheat::results {
namespace fs = std::filesystem;
using h5::Identifier;

namespace {

/// Values to a chunk: a series of one hour at 1 Hz in one piece, 128 KiB of doubles at most.
constexpr hsize_t chunk_values = 16384;
/// Deflate level; 9 is no smaller.
constexpr unsigned deflate_level = 6;
/// Up to here a dataset is kept in its own header, without a block and its index.
constexpr hsize_t most_compact_bytes = 1024;
/// Links and attributes that a header holds before they get a heap and an index of their own.
constexpr unsigned most_in_header = 64;

std::string parent_of(const std::string& path) {
    const std::size_t slash = path.rfind('/');
    return slash == 0 || slash == std::string::npos ? "/" : path.substr(0, slash);
}

std::string name_of(const std::string& path) { return path.substr(path.rfind('/') + 1); }

std::vector<const char*> pointers(std::span<const std::string> texts) {
    std::vector<const char*> out;
    for (const std::string& text : texts) out.push_back(text.c_str());
    return out;
}

}  // namespace

struct Hdf5Writer::State {
    fs::path target;
    std::string name;  ///< of the target, for errors
    h5::Image image;
    Identifier file;
    std::map<std::string, hsize_t, std::less<>> scales;  ///< their lengths

    explicit State(fs::path to) : target(std::move(to)), name(target.string()) {}
    State(const State&) = delete;
    State& operator=(const State&) = delete;
    ~State() {
        const h5::Session session;
        file.reset();
    }

    [[noreturn]] void fail(const std::string& what, std::string_view path) const {
        h5::fail(what, name, path);
    }
    [[noreturn]] void refuse(const std::string& what, std::string_view path) const {
        throw Error(what, {}, {name, 0, 0}, std::string(path));
    }

    void open() {
        require_writable(target);
        const Identifier access(H5Pcreate(H5P_FILE_ACCESS), H5Pclose);
        // The format of HDF5 1.10 and on: it keeps the order of creation, and a series in one chunk
        // needs no index.
        H5Pset_libver_bounds(access.get(), H5F_LIBVER_V110, H5F_LIBVER_V110);
        constexpr std::size_t step = 1U << 20U;
        H5Pset_fapl_core(access.get(), step, false);
        H5FD_file_image_callbacks_t callbacks = image.callbacks();
        H5Pset_file_image_callbacks(access.get(), &callbacks);
        const Identifier creation(H5Pcreate(H5P_FILE_CREATE), H5Pclose);
        as_group(creation);
        // No two files in memory may have one name; none of it is written.
        const std::string own = fmt::format("{}", reinterpret_cast<std::uintptr_t>(this));
        file = Identifier(H5Fcreate(own.c_str(), H5F_ACC_TRUNC, creation.get(), access.get()),
                          H5Fclose);
        if (!file) fail("write '" + name + "'", "");
    }

    /// Groups keep the order of what is put into them, and no times.
    static void as_group(const Identifier& creation) {
        H5Pset_link_creation_order(creation.get(), H5P_CRT_ORDER_TRACKED | H5P_CRT_ORDER_INDEXED);
        H5Pset_link_phase_change(creation.get(), most_in_header, most_in_header / 2);
        H5Pset_attr_phase_change(creation.get(), most_in_header, most_in_header / 2);
        H5Pset_obj_track_times(creation.get(), false);
    }

    std::string checked(std::string_view path) const {
        const bool good = path.size() > 1 && path.front() == '/' && path.back() != '/' &&
                          path.find("//") == std::string_view::npos;
        if (!good) refuse("'" + std::string(path) + "' is not an absolute path", path);
        return std::string(path);
    }

    bool exists(const std::string& path) const {
        // H5Lexists wants every group on the way to be there.
        for (std::size_t slash = path.find('/', 1);; slash = path.find('/', slash + 1)) {
            const std::string part_path = path.substr(0, slash);
            if (H5Lexists(file.get(), part_path.c_str(), H5P_DEFAULT) <= 0) return false;
            if (slash == std::string::npos) return true;
        }
    }

    void make_group(const std::string& path) const {
        if (path == "/" || exists(path)) return;
        make_group(parent_of(path));
        const Identifier creation(H5Pcreate(H5P_GROUP_CREATE), H5Pclose);
        as_group(creation);
        const Identifier made(
            H5Gcreate2(file.get(), path.c_str(), H5P_DEFAULT, creation.get(), H5P_DEFAULT),
            H5Gclose);
        if (!made) fail("make the group", path);
    }

    void attribute(hid_t object, const std::string& path, const std::string& key,
                   const AttributeValue& value) const {
        const auto put = [&](hid_t type, hsize_t count, bool scalar, const void* data) {
            const Identifier space(
                scalar ? H5Screate(H5S_SCALAR) : H5Screate_simple(1, &count, nullptr), H5Sclose);
            if (H5Aexists(object, key.c_str()) > 0) H5Adelete(object, key.c_str());
            const Identifier made(
                H5Acreate2(object, key.c_str(), type, space.get(), H5P_DEFAULT, H5P_DEFAULT),
                H5Aclose);
            if (!made || (count > 0 && H5Awrite(made.get(), type, data) < 0)) {
                fail("write the attribute '" + key + "'", path);
            }
        };
        const Identifier text = h5::text_type();
        if (const auto* s = std::get_if<std::string>(&value)) {
            const char* data = s->c_str();
            put(text.get(), 1, true, &data);
        } else if (const auto* x = std::get_if<double>(&value)) {
            put(H5T_NATIVE_DOUBLE, 1, true, x);
        } else if (const auto* i = std::get_if<std::int64_t>(&value)) {
            put(H5T_NATIVE_INT64, 1, true, i);
        } else if (const auto* list = std::get_if<std::vector<std::string>>(&value)) {
            const auto data = pointers(*list);
            put(text.get(), data.size(), false, data.data());
        } else if (const auto* numbers = std::get_if<std::vector<double>>(&value)) {
            put(H5T_NATIVE_DOUBLE, numbers->size(), false, numbers->data());
        } else if (const auto* whole = std::get_if<std::vector<std::int64_t>>(&value)) {
            put(H5T_NATIVE_INT64, whole->size(), false, whole->data());
        }
    }

    void all_attributes(hid_t object, const std::string& path, const Attributes& list) const {
        for (const auto& [key, value] : list) attribute(object, path, key, value);
    }

    Identifier create(const std::string& path, hid_t type,
                      const std::vector<hsize_t>& shape) const {
        if (exists(path)) refuse("'" + path + "' is there already", path);
        make_group(parent_of(path));
        const Identifier creation(H5Pcreate(H5P_DATASET_CREATE), H5Pclose);
        H5Pset_obj_track_times(creation.get(), false);
        const hsize_t bytes =
            std::accumulate(shape.begin(), shape.end(), H5Tget_size(type), std::multiplies<>());
        if (bytes <= most_compact_bytes) {
            H5Pset_layout(creation.get(), H5D_COMPACT);
        } else if (H5Tis_variable_str(type) <= 0) {  // a filter would see pointers, not the text
            std::vector<hsize_t> chunk = shape;
            hsize_t rest = chunk_values;
            for (auto length = chunk.rbegin(); length != chunk.rend(); ++length) {
                *length = std::min(*length, rest);
                rest = std::max<hsize_t>(1, rest / *length);
            }
            H5Pset_chunk(creation.get(), static_cast<int>(chunk.size()), chunk.data());
            H5Pset_shuffle(creation.get());
            H5Pset_deflate(creation.get(), deflate_level);
        }
        const Identifier space(
            shape.empty() ? H5Screate(H5S_SCALAR)
                          : H5Screate_simple(static_cast<int>(shape.size()), shape.data(), nullptr),
            H5Sclose);
        Identifier made(H5Dcreate2(file.get(), path.c_str(), type, space.get(), H5P_DEFAULT,
                                   creation.get(), H5P_DEFAULT),
                        H5Dclose);
        if (!made) fail("make the dataset", path);
        return made;
    }

    void write(const Identifier& dataset, hid_t type, const void* data, hsize_t count,
               const std::string& path) const {
        if (count > 0 && H5Dwrite(dataset.get(), type, H5S_ALL, H5S_ALL, H5P_DEFAULT, data) < 0) {
            fail("write the dataset", path);
        }
    }

    void scale(std::string_view at, hid_t type, const void* data, hsize_t count,
               const Attributes& list) {
        const std::string path = checked(at);
        const Identifier made = create(path, type, {count});
        write(made, type, data, count, path);
        if (H5DSset_scale(made.get(), name_of(path).c_str()) < 0) fail("make the scale", path);
        all_attributes(made.get(), path, list);
        scales[path] = count;
    }

    hsize_t length_of(const std::string& scale, const std::string& path) const {
        const auto found = scales.find(scale);
        if (found == scales.end()) refuse("no scale '" + scale + "' was written", path);
        return found->second;
    }

    /// Makes the scale a neighbour of the dataset, so that the dataset's group opens by itself.
    void link_scale(const std::string& path, const std::string& scale) const {
        make_group(parent_of(path));
        std::string beside = parent_of(path);
        beside += (beside == "/" ? "" : "/") + name_of(scale);
        if (beside != scale && !exists(beside) &&
            H5Lcreate_hard(file.get(), scale.c_str(), file.get(), beside.c_str(), H5P_DEFAULT,
                           H5P_DEFAULT) < 0) {
            fail("link the scale '" + scale + "'", path);
        }
    }

    void attach(const Identifier& dataset, const std::string& path, const std::string& scale,
                unsigned axis) const {
        const Identifier opened(H5Dopen2(file.get(), scale.c_str(), H5P_DEFAULT), H5Dclose);
        if (H5DSattach_scale(dataset.get(), opened.get(), axis) < 0) {
            fail("attach the scale '" + scale + "'", path);
        }
    }

    std::vector<hsize_t> shape_of(const std::vector<std::string>& axes,
                                  const std::string& path) const {
        if (axes.empty() || axes.size() > H5S_MAX_RANK)
            refuse("a dataset has one to 32 scales", path);
        std::vector<hsize_t> shape;
        for (const std::string& axis : axes) shape.push_back(length_of(axis, path));
        return shape;
    }

    void rows(std::string_view at, const std::vector<std::string>& axes,
              const Attributes& list) const {
        const std::string path = checked(at);
        const std::vector<hsize_t> shape = shape_of(axes, path);
        for (const std::string& axis : axes) link_scale(path, axis);
        const Identifier made = create(path, H5T_NATIVE_DOUBLE, shape);
        for (unsigned axis = 0; axis < axes.size(); ++axis) attach(made, path, axes[axis], axis);
        all_attributes(made.get(), path, list);
    }

    void fill(std::string_view at, std::size_t first, std::span<const double> values) const {
        const std::string path = checked(at);
        const Identifier open(H5Dopen2(file.get(), path.c_str(), H5P_DEFAULT), H5Dclose);
        if (!open) refuse("there is no '" + path + "'", path);
        const Identifier in_file(H5Dget_space(open.get()), H5Sclose);
        std::vector<hsize_t> count(
            static_cast<std::size_t>(H5Sget_simple_extent_ndims(in_file.get())));
        H5Sget_simple_extent_dims(in_file.get(), count.data(), nullptr);
        const hsize_t row =
            std::accumulate(count.begin() + 1, count.end(), hsize_t{1}, std::multiplies<>());
        const hsize_t rows = row > 0 ? values.size() / row : 0;
        if (rows * row != values.size() || first + rows > count[0])
            refuse("'" + path + "' is filled by whole rows within it", path);
        if (rows == 0) return;
        std::vector<hsize_t> start(count.size(), 0);
        start[0] = first;
        count[0] = rows;
        const hsize_t total = values.size();
        const Identifier in_memory(H5Screate_simple(1, &total, nullptr), H5Sclose);
        H5Sselect_hyperslab(in_file.get(), H5S_SELECT_SET, start.data(), nullptr, count.data(),
                            nullptr);
        if (H5Dwrite(open.get(), H5T_NATIVE_DOUBLE, in_memory.get(), in_file.get(), H5P_DEFAULT,
                     values.data()) < 0)
            fail("fill the dataset", path);
    }

    void dataset(std::string_view at, hid_t type, const void* data, std::size_t count,
                 const std::vector<std::string>& axes, const Attributes& list) const {
        const std::string path = checked(at);
        const std::vector<hsize_t> shape = shape_of(axes, path);
        const hsize_t needed =
            std::accumulate(shape.begin(), shape.end(), hsize_t{1}, std::multiplies<>());
        if (count != needed) {
            throw Error(fmt::format("{} values for '{}'", count, path),
                        fmt::format("{}, as its scales have", needed), {name, 0, 0}, path);
        }
        for (const std::string& axis : axes) link_scale(path, axis);
        const Identifier made = create(path, type, shape);
        write(made, type, data, count, path);
        for (unsigned axis = 0; axis < axes.size(); ++axis) attach(made, path, axes[axis], axis);
        all_attributes(made.get(), path, list);
    }

    void single(std::string_view at, hid_t type, const void* data, const Attributes& list) const {
        const std::string path = checked(at);
        const Identifier made = create(path, type, {});
        write(made, type, data, 1, path);
        all_attributes(made.get(), path, list);
    }

    void commit() {
        if (H5Fflush(file.get(), H5F_SCOPE_LOCAL) < 0 || file.reset() < 0) {
            fail("write '" + name + "'", "");
        }
        if (image.bytes().empty()) refuse("cannot write '" + name + "': it was not finished", "");
        std::string sealed(image.bytes());
        sealed += h5::seal_of(image.bytes());
        write_whole(target, sealed);
    }
};

Hdf5Writer::Hdf5Writer(fs::path target) : state_(std::make_unique<State>(std::move(target))) {
    const h5::Session session;
    state_->open();
    const Identifier root(H5Gopen2(state_->file.get(), "/", H5P_DEFAULT), H5Gclose);
    state_->all_attributes(root.get(), "/",
                           {{"format", "lapheat result"}, {"layout", layout_version}});
}

Hdf5Writer::~Hdf5Writer() = default;
Hdf5Writer::Hdf5Writer(Hdf5Writer&& other) noexcept = default;
Hdf5Writer& Hdf5Writer::operator=(Hdf5Writer&& other) noexcept = default;

void Hdf5Writer::group(std::string_view path, const Attributes& list) {
    const h5::Session session;
    const std::string at = state_->checked(path);
    state_->make_group(at);
    const Identifier open(H5Gopen2(state_->file.get(), at.c_str(), H5P_DEFAULT), H5Gclose);
    if (!open) state_->refuse("'" + at + "' is a dataset", at);
    state_->all_attributes(open.get(), at, list);
}

void Hdf5Writer::attributes(std::string_view path, const Attributes& list) {
    const h5::Session session;
    const std::string at(path);
    if (at != "/" && !state_->exists(state_->checked(path)))
        state_->refuse("there is no '" + at + "'", at);
    const Identifier open(H5Oopen(state_->file.get(), at.c_str(), H5P_DEFAULT), H5Oclose);
    state_->all_attributes(open.get(), at, list);
}

void Hdf5Writer::scale(std::string_view path, std::span<const double> values,
                       const Attributes& list) {
    const h5::Session session;
    state_->scale(path, H5T_NATIVE_DOUBLE, values.data(), values.size(), list);
}

void Hdf5Writer::scale(std::string_view path, std::span<const std::int64_t> values,
                       const Attributes& list) {
    const h5::Session session;
    state_->scale(path, H5T_NATIVE_INT64, values.data(), values.size(), list);
}

void Hdf5Writer::scale(std::string_view path, std::span<const std::string> values,
                       const Attributes& list) {
    const h5::Session session;
    state_->scale(path, h5::text_type().get(), pointers(values).data(), values.size(), list);
}

void Hdf5Writer::numbers(std::string_view path, std::span<const double> values,
                         const std::vector<std::string>& scales, const Attributes& list) {
    const h5::Session session;
    state_->dataset(path, H5T_NATIVE_DOUBLE, values.data(), values.size(), scales, list);
}

void Hdf5Writer::rounded(std::string_view path, std::span<const double> values, int bits,
                         const std::vector<std::string>& scales, const Attributes& list) {
    const h5::Session session;
    if (bits < 1 || bits > 23) state_->refuse("a mantissa of 32 bits keeps 1 to 23", path);
    const std::vector<float> kept = keep_bits(values, bits);
    state_->dataset(path, H5T_NATIVE_FLOAT, kept.data(), kept.size(), scales, list);
}

void Hdf5Writer::integers(std::string_view path, std::span<const std::int64_t> values,
                          const std::vector<std::string>& scales, const Attributes& list) {
    const h5::Session session;
    state_->dataset(path, H5T_NATIVE_INT64, values.data(), values.size(), scales, list);
}

void Hdf5Writer::strings(std::string_view path, std::span<const std::string> values,
                         const std::vector<std::string>& scales, const Attributes& list) {
    const h5::Session session;
    state_->dataset(path, h5::text_type().get(), pointers(values).data(), values.size(), scales,
                    list);
}

void Hdf5Writer::number(std::string_view path, double value, const Attributes& list) {
    const h5::Session session;
    state_->single(path, H5T_NATIVE_DOUBLE, &value, list);
}

void Hdf5Writer::text(std::string_view path, const std::string& value, const Attributes& list) {
    const h5::Session session;
    const char* data = value.c_str();
    state_->single(path, h5::text_type().get(), &data, list);
}

void Hdf5Writer::rows(std::string_view path, const std::vector<std::string>& scales,
                      const Attributes& list) {
    const h5::Session session;
    state_->rows(path, scales, list);
}

void Hdf5Writer::fill(std::string_view path, std::size_t first, std::span<const double> values) {
    const h5::Session session;
    state_->fill(path, first, values);
}

void Hdf5Writer::commit() {
    const h5::Session session;
    if (!state_->file) state_->refuse("the file is finished already", "");
    state_->commit();
}

const fs::path& Hdf5Writer::target() const noexcept { return state_->target; }

}  // namespace lapheat::results
