// What the harnesses of this folder share. Each is one function over bytes; libFuzzer calls it with
// inputs that it makes by what they cover, or main.cpp with the stored corpus and a fixed count of
// mutations. The property of each: no crash, no hang, no exception but lapheat::Error, and what
// else it holds.
#pragma once

#include <sys/mman.h>
#include <unistd.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <initializer_list>
#include <limits>
#include <span>
#include <string>
#include <string_view>
#include <typeinfo>

#include "lapheat/units/error.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size);

namespace fuzz {

[[noreturn]] inline void broken(const std::string& what) {
    std::fprintf(stderr, "\nbroken promise: %s\n", what.c_str());
    std::abort();
}

inline void hold(bool promise, const std::string& what) {
    if (!promise) broken(what);
}

/// Runs `f`; true if it threw an Error, which must have words. Anything else that flies is a fault.
/// With FUZZ_TELL in the environment the words are shown.
template <class F>
bool refused(F&& f) {
    try {
        f();
        return false;
    } catch (const lapheat::Error& e) {
        hold(*e.what() != '\0', "an error without words");
        static const bool tell = std::getenv("FUZZ_TELL") != nullptr;
        if (tell) std::fprintf(stderr, "refused: %s\n", e.what());
        return true;
    } catch (const std::exception& e) {
        broken(std::string("a foreign exception, ") + typeid(e).name() + ": " + e.what());
    }
}

/// Numbers out of bytes: every input is some choice of numbers, short ones end in zeros.
class Choices {
  public:
    Choices(const std::uint8_t* data, std::size_t size) : left_(data, size) {}

    [[nodiscard]] bool empty() const { return left_.empty(); }
    std::uint8_t byte() {
        if (left_.empty()) return 0;
        const std::uint8_t out = left_.front();
        left_ = left_.subspan(1);
        return out;
    }
    std::uint32_t word() {
        const std::uint32_t high = byte();
        return high << 8U | byte();
    }
    /// 0 to count - 1.
    std::size_t below(std::size_t count) {
        return count < 2 ? 0 : (count <= 256 ? byte() : word()) % count;
    }
    bool coin() { return (byte() & 1U) != 0; }
    double share() { return word() / 65535.0; }
    /// Between two numbers, ends included; by their ratio where both are above zero and far apart.
    double within(double low, double high) {
        const double x = share();
        if (low > 0 && high > 10 * low) return std::min(high, low * std::pow(high / low, x));
        return low + x * (high - low);
    }
    /// Anything that a double can be, mostly what trips code.
    double wild() {
        constexpr double odd[] = {0.0,
                                  -0.0,
                                  1.0,
                                  -1.0,
                                  1e-300,
                                  -1e-300,
                                  1e300,
                                  -1e300,
                                  5e-324,
                                  std::numeric_limits<double>::max(),
                                  std::numeric_limits<double>::infinity(),
                                  -std::numeric_limits<double>::infinity(),
                                  std::numeric_limits<double>::quiet_NaN(),
                                  2147483648.0,
                                  -9.3e18,
                                  273.15};
        const std::size_t which = below(32);
        if (which < std::size(odd)) return odd[which];
        if (which < 24) return (coin() ? 1 : -1) * std::pow(10.0, 40 * share() - 20);
        std::uint64_t bits = 0;
        for (int i = 0; i < 8; ++i) bits = bits << 8U | byte();
        double out = 0;
        std::memcpy(&out, &bits, sizeof out);
        return out;
    }

  private:
    std::span<const std::uint8_t> left_;
};

/// A file in memory with a path, for what reads files.
class MemoryFile {
  public:
    MemoryFile() : number_(::memfd_create("fuzz", MFD_CLOEXEC)) {
        if (number_ < 0) std::perror("memfd_create"), std::exit(1);
        path_ = "/proc/self/fd/" + std::to_string(number_);
    }
    MemoryFile(const MemoryFile&) = delete;
    MemoryFile& operator=(const MemoryFile&) = delete;
    ~MemoryFile() { ::close(number_); }

    void hold(std::string_view bytes) const {
        if (::ftruncate(number_, 0) != 0) std::perror("ftruncate"), std::exit(1);
        for (std::size_t at = 0; at < bytes.size();) {
            const ssize_t n =
                ::pwrite(number_, bytes.data() + at, bytes.size() - at, static_cast<off_t>(at));
            if (n <= 0) std::perror("pwrite"), std::exit(1);
            at += static_cast<std::size_t>(n);
        }
    }
    [[nodiscard]] const std::string& path() const { return path_; }

  private:
    int number_;
    std::string path_;
};

inline std::string_view text(const std::uint8_t* data, std::size_t size) {
    return {reinterpret_cast<const char*>(data), size};
}

}  // namespace fuzz
