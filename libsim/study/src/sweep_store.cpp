#include "sweep_store.hpp"

#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <string_view>

#include "lapheat/solve/draws.hpp"
#include "lapheat/units/error.hpp"

namespace lapheat::study {
namespace {

constexpr std::size_t text_size = 120;
constexpr char title[16] = "lapheat sweep 1";

struct Header {
    char name[16];
    std::uint64_t fingerprint, points, record;
};

[[noreturn]] void refuse(const std::filesystem::path& file, const std::string& what,
                         const std::string& expected = {}) {
    throw Error(what, expected, {file.string(), 0, 0});
}

}  // namespace

SweepStore::SweepStore(std::filesystem::path file, std::uint64_t fingerprint, std::size_t points,
                       std::size_t numbers)
    : file_(std::move(file)),
      fingerprint_(fingerprint),
      numbers_(numbers),
      record_(sizeof(std::uint64_t) + numbers * sizeof(double) + text_size),
      done_(points, 0) {
    descriptor_ = ::open(file_.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0666);
    if (descriptor_ < 0) refuse(file_, std::string("cannot be written: ") + std::strerror(errno));
    if (::flock(descriptor_, LOCK_EX | LOCK_NB) != 0) {
        ::close(descriptor_);
        refuse(file_, "another sweep is writing here", "another file, or that it ends");
    }
    Header mine{};
    std::memcpy(mine.name, title, sizeof title);
    mine.fingerprint = fingerprint;
    mine.points = points;
    mine.record = record_;
    Header there{};
    const auto size = ::pread(descriptor_, &there, sizeof there, 0);
    if (size == 0) {
        if (::pwrite(descriptor_, &mine, sizeof mine, 0) != static_cast<ssize_t>(sizeof mine))
            refuse(file_, std::string("cannot be written: ") + std::strerror(errno));
        return;
    }
    if (size != static_cast<ssize_t>(sizeof there) ||
        std::memcmp(&mine, &there, sizeof mine) != 0) {
        ::close(descriptor_);
        descriptor_ = -1;
        refuse(file_, "what is there was begun with another car, other values or another version",
               "another file (--to), or that this one is removed");
    }
    std::vector<char> record(record_);
    struct stat about {};
    ::fstat(descriptor_, &about);
    const auto written = static_cast<std::size_t>(about.st_size) - sizeof(Header);
    const std::size_t last = std::min(points, (written + record_ - 1) / record_);
    for (std::size_t i = 0; i < last; ++i) done_[i] = read(i, record) ? 1 : 0;
}

SweepStore::~SweepStore() {
    if (descriptor_ >= 0) ::close(descriptor_);
}

std::uint64_t SweepStore::sum_of(const std::vector<char>& record, std::size_t point) const {
    const std::string_view body(record.data() + sizeof(std::uint64_t),
                                record.size() - sizeof(std::uint64_t));
    return solve::mixed(solve::mixed(fingerprint_ ^ point), body) | 1U;
}

bool SweepStore::read(std::size_t point, std::vector<char>& record) const {
    const auto at = static_cast<off_t>(sizeof(Header) + point * record_);
    if (::pread(descriptor_, record.data(), record_, at) != static_cast<ssize_t>(record_))
        return false;
    std::uint64_t sum = 0;
    std::memcpy(&sum, record.data(), sizeof sum);
    return sum != 0 && sum == sum_of(record, point);
}

void SweepStore::put(std::size_t point, const std::vector<double>& numbers,
                     const std::string& text) {
    std::vector<char> record(record_, 0);
    std::memcpy(record.data() + sizeof(std::uint64_t), numbers.data(), numbers_ * sizeof(double));
    std::memcpy(record.data() + record_ - text_size, text.data(),
                std::min(text.size(), text_size - 1));
    const std::uint64_t sum = sum_of(record, point);
    std::memcpy(record.data(), &sum, sizeof sum);
    const auto at = static_cast<off_t>(sizeof(Header) + point * record_);
    if (::pwrite(descriptor_, record.data(), record_, at) != static_cast<ssize_t>(record_))
        refuse(file_, std::string("cannot be written: ") + std::strerror(errno));
    done_[point] = 1;
}

std::vector<double> SweepStore::get(std::size_t point, std::string& text) const {
    std::vector<char> record(record_);
    if (!read(point, record)) refuse(file_, "was damaged while it was in use");
    std::vector<double> out(numbers_);
    std::memcpy(out.data(), record.data() + sizeof(std::uint64_t), numbers_ * sizeof(double));
    text.assign(record.data() + record_ - text_size);
    return out;
}

void SweepStore::remove() {
    std::error_code ignored;
    std::filesystem::remove(file_, ignored);
}

}  // namespace lapheat::study
