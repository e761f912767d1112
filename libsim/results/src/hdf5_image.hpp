// The bytes of a file as HDF5 makes them in memory.
#pragma once

#include <hdf5.h>

#include <cstdlib>
#include <cstring>
#include <string_view>

#include "hdf5_seal.hpp"

namespace lapheat::results::h5 {

/// The file as HDF5's core driver keeps it in memory, with nothing behind it on a disk. It is
/// handed over when HDF5 closes the file, when all of it is in order.
struct Image {
    void* memory = nullptr;
    std::size_t size = 0;  ///< allocated

    Image() = default;
    Image(const Image&) = delete;
    Image& operator=(const Image&) = delete;
    ~Image() { std::free(memory); }

    /// The bytes that make a file.
    [[nodiscard]] std::string_view bytes() const {
        const std::string_view all{static_cast<const char*>(memory), memory == nullptr ? 0 : size};
        return all.substr(0, end_of(all));
    }

    static void* grow(void* memory, size_t size, H5FD_file_image_op_t /*op*/, void* image) {
        static_cast<Image*>(image)->size = size;
        return std::realloc(memory, size);
    }
    static herr_t keep(void* memory, H5FD_file_image_op_t op, void* image) {
        if (op == H5FD_FILE_IMAGE_OP_FILE_CLOSE)
            static_cast<Image*>(image)->memory = memory;
        else
            std::free(memory);
        return 0;
    }
    static void* allocate(size_t size, H5FD_file_image_op_t /*op*/, void* /*image*/) {
        return std::malloc(size);
    }
    static void* copy(void* to, const void* from, size_t size, H5FD_file_image_op_t /*op*/,
                      void* /*image*/) {
        return std::memcpy(to, from, size);
    }
    // The same image for every copy of the property list.
    static void* share(void* image) { return image; }
    static herr_t unshare(void* /*image*/) { return 0; }

    H5FD_file_image_callbacks_t callbacks() {
        return {allocate, copy, grow, keep, share, unshare, this};
    }
};

}  // namespace lapheat::results::h5
