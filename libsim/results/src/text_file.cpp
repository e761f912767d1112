#include "lapheat/results/text_file.hpp"

#include <dirent.h>
#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstring>
#include <random>
#include <string>
#include <utility>

#include "lapheat/units/diagnostic.hpp"
#include "lapheat/units/error.hpp"

namespace lapheat::results {
namespace fs = std::filesystem;
namespace {

constexpr std::string_view lead = ".lapheat-", tail = ".part";

std::string sentence(const fs::path& target, const std::string& why) {
    return "cannot write '" + target.string() + "': " + why;
}

/// The target is wrong.
[[noreturn]] void refuse(const fs::path& target, const std::string& why,
                         const std::string& expected = "a folder that can be written to") {
    throw Error(sentence(target, why), expected, {target.string(), 0, 0});
}

/// The target is right, and the disk will not have it.
[[noreturn]] void fail(const fs::path& target, const std::string& why) {
    throw Error(Diagnostic{Code::run_failed, {}, {sentence(target, why)}}, {target.string(), 0, 0});
}

std::string reason() { return std::strerror(errno); }

class Descriptor {
  public:
    explicit Descriptor(int number) : number_(number) {}
    Descriptor(Descriptor&& other) noexcept : number_(std::exchange(other.number_, -1)) {}
    Descriptor& operator=(Descriptor&& other) noexcept {
        std::swap(number_, other.number_);
        return *this;
    }
    Descriptor(const Descriptor&) = delete;
    Descriptor& operator=(const Descriptor&) = delete;
    ~Descriptor() {
        if (number_ >= 0) ::close(number_);
    }
    [[nodiscard]] int get() const { return number_; }
    [[nodiscard]] explicit operator bool() const { return number_ >= 0; }

  private:
    int number_;
};

std::string chance_name() {
    std::random_device source;
    std::string name{lead};
    for (int i = 0; i < 4; ++i) {
        constexpr std::string_view digits = "0123456789abcdef";
        for (std::uint32_t word = source(), k = 0; k < 8; ++k, word >>= 4U)
            name += digits[word & 15U];
    }
    return name += tail;
}

/// Takes away parts that nobody holds: their writers were killed.
void clean(int folder) {
    const int copy = ::openat(folder, ".", O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (copy < 0) return;
    DIR* const list = ::fdopendir(copy);
    if (list == nullptr) {
        ::close(copy);
        return;
    }
    while (const dirent* entry = ::readdir(list)) {
        const std::string_view name = entry->d_name;
        if (!name.starts_with(lead) || !name.ends_with(tail)) continue;
        const Descriptor part(
            ::openat(folder, entry->d_name, O_RDONLY | O_NOFOLLOW | O_NONBLOCK | O_CLOEXEC));
        if (part && ::flock(part.get(), LOCK_EX | LOCK_NB) == 0)
            ::unlinkat(folder, entry->d_name, 0);
    }
    ::closedir(list);
}

/// A part in its folder, held against cleaners; gone again unless it got the target's name.
class PartFile {
  public:
    PartFile(int folder, const fs::path& target) : folder_(folder), target_(target), file_(-1) {
        constexpr int trials = 32;
        for (int i = 0; i < trials; ++i) {
            name_ = chance_name();
            file_ = Descriptor(::openat(
                folder, name_.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC, 0666));
            if (!file_ && errno == EEXIST) continue;
            if (!file_) fail(target, reason());
            // A cleaner may have been quicker than the lock: then it is another's turn.
            struct stat state {};
            if (::flock(file_.get(), LOCK_EX | LOCK_NB) == 0 && ::fstat(file_.get(), &state) == 0 &&
                state.st_nlink > 0)
                return;
            ::unlinkat(folder, name_.c_str(), 0);
        }
        fail(target, "no name is free beside it");
    }
    PartFile(const PartFile&) = delete;
    PartFile& operator=(const PartFile&) = delete;
    ~PartFile() {
        if (!placed_) ::unlinkat(folder_, name_.c_str(), 0);
    }

    void write(std::string_view bytes) {
        while (!bytes.empty()) {
            const ssize_t count = ::write(file_.get(), bytes.data(), bytes.size());
            if (count < 0 && errno == EINTR) continue;
            if (count < 0) fail(target_, reason());
            if (count == 0) fail(target_, "nothing more can be written");
            bytes.remove_prefix(static_cast<std::size_t>(count));
        }
    }
    /// Whoever could read the file that was there can read this one.
    void take_rights_of(const struct stat& state) {
        (void)::fchmod(file_.get(), state.st_mode & 07777);
    }
    void place(const std::string& name) {
        if (::fsync(file_.get()) != 0) fail(target_, reason());
        if (::renameat(folder_, name_.c_str(), folder_, name.c_str()) != 0) fail(target_, reason());
        placed_ = true;
        // Some file systems know no sync of a folder.
        if (::fsync(folder_) != 0 && errno != EINVAL && errno != ENOTSUP) fail(target_, reason());
    }

  private:
    int folder_;
    const fs::path& target_;
    std::string name_;
    Descriptor file_;
    bool placed_ = false;
};

/// Where a target's bytes go: what its links lead to.
struct Target {
    Descriptor folder;
    std::string name;
    bool there = false;
    struct stat state {};
};

Target place_of(const fs::path& target) {
    std::error_code failed;
    fs::path real = target;
    if (fs::is_symlink(target, failed)) {
        real = fs::canonical(target, failed);
        if (failed) refuse(target, failed.message(), "a link that leads to a file");
    }
    if (!real.has_filename()) refuse(target, "it is not a file's name", "a file's name");
    const fs::path folder = real.has_parent_path() ? real.parent_path() : fs::path(".");
    Target out{Descriptor(::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC)),
               real.filename().string()};
    if (!out.folder) refuse(target, reason());
    out.there = ::fstatat(out.folder.get(), out.name.c_str(), &out.state, AT_SYMLINK_NOFOLLOW) == 0;
    if (out.there && !S_ISREG(out.state.st_mode))
        refuse(target,
               S_ISDIR(out.state.st_mode) ? "it is a folder"
                                          : "it is a device, a pipe or another special file",
               "a regular file, or one that is not there yet");
    if (::faccessat(out.folder.get(), ".", W_OK | X_OK, AT_EACCESS) != 0) refuse(target, reason());
    return out;
}

}  // namespace

void write_whole(const fs::path& target, std::string_view bytes) {
    const Target place = place_of(target);
    clean(place.folder.get());
    PartFile part(place.folder.get(), target);
    part.write(bytes);
    if (place.there) part.take_rights_of(place.state);
    part.place(place.name);
}

void require_writable(const fs::path& target) { (void)place_of(target); }

}  // namespace lapheat::results
