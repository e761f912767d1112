// The HDF5 C API with owners for its identifiers, one lock, and errors as exceptions.
#pragma once

#include <hdf5.h>

#include <mutex>
#include <string>
#include <string_view>
#include <utility>

namespace lapheat::results::h5 {

/// Owns an HDF5 identifier of any kind.
class Identifier {
  public:
    using Close = herr_t (*)(hid_t);
    Identifier() = default;
    Identifier(hid_t id, Close close) : id_(id), close_(close) {}
    Identifier(Identifier&& other) noexcept
        : id_(std::exchange(other.id_, H5I_INVALID_HID)), close_(other.close_) {}
    Identifier& operator=(Identifier&& other) noexcept {
        std::swap(id_, other.id_);
        std::swap(close_, other.close_);
        return *this;
    }
    Identifier(const Identifier&) = delete;
    Identifier& operator=(const Identifier&) = delete;
    ~Identifier() { reset(); }

    /// Closes; negative if HDF5 could not.
    herr_t reset() noexcept {
        const hid_t id = std::exchange(id_, H5I_INVALID_HID);
        return id >= 0 ? close_(id) : 0;
    }
    [[nodiscard]] hid_t get() const noexcept { return id_; }
    [[nodiscard]] explicit operator bool() const noexcept { return id_ >= 0; }

  private:
    hid_t id_ = H5I_INVALID_HID;
    Close close_ = nullptr;
};

/// Holds the process's HDF5 lock and keeps the library from printing its errors; puts its printing
/// back afterwards, for other users of HDF5 in the process. To be held in every public function.
class Session {
  public:
    Session();
    ~Session();
    Session(const Session&) = delete;
    Session& operator=(const Session&) = delete;

  private:
    std::lock_guard<std::mutex> lock_;
    H5E_auto2_t print_ = nullptr;
    void* data_ = nullptr;
};

/// The innermost message of HDF5's error stack, e.g. "bad file signature".
std::string last_error();

/// Throws Error "cannot <what>: <HDF5's reason>".
[[noreturn]] void fail(const std::string& what, const std::string& file, std::string_view path);

/// A scalar text type: UTF-8 of variable length.
Identifier text_type();

}  // namespace lapheat::results::h5
