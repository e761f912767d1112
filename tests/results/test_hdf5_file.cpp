#include <lapheat/results/hdf5_file.hpp>

#include <hdf5.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <cmath>
#include <csignal>
#include <fstream>
#include <iterator>
#include <limits>
#include <thread>

#include "files.hpp"
#include "lapheat/units/diagnostic.hpp"
#include "sample_file.hpp"

using namespace lapheat::results;
using namespace files;

TEST_CASE("What is written comes back bit for bit, with its attributes and axes") {
    const Folder folder;
    const fs::path file = folder.path / "run.h5";
    write_sample(file);
    const Hdf5Reader r(file);
    CHECK(r.groups() == std::vector<std::string>{"coolant", "events", "scenario"});
    CHECK(r.groups("/coolant") == std::vector<std::string>{"radiator"});
    CHECK(r.datasets("/coolant/radiator") ==
          std::vector<std::string>{"time", "inlet_temperature", "cell", "wall_temperature"});
    CHECK(r.numbers("/time") == sample_times());
    CHECK(r.numbers("/coolant/radiator/inlet_temperature") == sample_temperatures());
    CHECK(r.dimensions("/coolant/radiator/inlet_temperature") == std::vector<std::string>{"time"});
    CHECK(r.dimensions("/time") == std::vector<std::string>{"time"});
    CHECK(r.label("/coolant/radiator/inlet_temperature", "units") == "K");
    CHECK(r.label("/coolant/radiator/inlet_temperature", "no_such").empty());
    CHECK(r.shape("/coolant/radiator/wall_temperature") == std::vector<std::size_t>{3600, 3});
    CHECK(r.dimensions("/coolant/radiator/wall_temperature") ==
          std::vector<std::string>{"time", "cell"});
    CHECK(r.strings("/events/what") == std::vector<std::string>{"fan on", "over limit: 120 °C"});
    CHECK(r.integers("/events/step") == std::vector<std::int64_t>{17, 905});
    CHECK(r.text("/scenario/text") == sample_text());
    CHECK(r.number("/closure") == 1.5e-9);
    CHECK(std::get<double>(*r.attribute("/", "mass")) == 1234.5);
    CHECK(std::get<std::int64_t>(*r.attribute("/", "layout")) == layout_version);
    CHECK(std::get<std::vector<std::string>>(*r.attribute("/", "versions")) ==
          std::vector<std::string>{"a 1", "b 2"});
    CHECK_FALSE(r.attribute("/", "absent").has_value());
    CHECK(r.has("/coolant/radiator"));
    CHECK_FALSE(r.has("/coolant/radiatr/time"));
    CHECK_FALSE(r.has("coolant"));
}

TEST_CASE("NaN, infinities and the smallest numbers survive the file") {
    const Folder folder;
    const std::vector<double> odd = {std::numeric_limits<double>::quiet_NaN(),
                                     std::numeric_limits<double>::infinity(), -0.0, 5e-324};
    Hdf5Writer w(folder.path / "odd.h5");
    w.scale("/i", std::vector<std::int64_t>{1, 2, 3, 4});
    w.numbers("/x", odd, {"/i"});
    w.commit();
    const auto back = Hdf5Reader(folder.path / "odd.h5").numbers("/x");
    REQUIRE(back.size() == 4);
    CHECK(std::isnan(back[0]));
    CHECK(back[1] == odd[1]);
    CHECK(std::signbit(back[2]));
    CHECK(back[3] == 5e-324);
}

TEST_CASE("A run without events has an event table of length zero") {
    const Folder folder;
    Hdf5Writer w(folder.path / "quiet.h5");
    w.scale("/events/event", std::span<const std::int64_t>{});
    w.numbers("/events/time", {}, {"/events/event"});
    w.strings("/events/what", {}, {"/events/event"});
    w.commit();
    const Hdf5Reader r(folder.path / "quiet.h5");
    CHECK(r.numbers("/events/time").empty());
    CHECK(r.strings("/events/what").empty());
    CHECK(r.dimensions("/events/what") == std::vector<std::string>{"event"});
}

TEST_CASE("Before commit there is no file, and after a failure no trace") {
    const Folder folder;
    const fs::path file = folder.path / "run.h5";
    {
        Hdf5Writer w(file);
        w.scale("/time", sample_times());
        CHECK(files_in(folder.path) == 0);
    }
    CHECK(files_in(folder.path) == 0);

    write_sample(file);
    const std::string before = content(file);
    {
        Hdf5Writer w(file);
        w.scale("/time", sample_times());
    }
    CHECK(content(file) == before);
    CHECK(files_in(folder.path) == 1);

    const auto fails = [&] {
        Hdf5Writer w(file);
        w.scale("/time", sample_times());
        w.numbers("/x", std::vector<double>{1.0}, {"/time"});
        w.commit();
    };
    CHECK_THROWS_AS(fails(), lapheat::Error);
    CHECK(content(file) == before);
    CHECK(files_in(folder.path) == 1);
}

TEST_CASE("A disk that is full is an error, and leaves neither the file nor a part of it") {
    const Folder folder;
    // A limit on the size of files stands for the full disk; in a process of its own.
    const pid_t child = ::fork();
    if (child == 0) {
        const rlimit limit{65536, 65536};
        ::setrlimit(RLIMIT_FSIZE, &limit);
        ::signal(SIGXFSZ, SIG_IGN);
        bool refused = false;
        try {
            write_sample(folder.path / "run.h5");
        } catch (const lapheat::Error& e) {
            refused = std::string(e.what()).find("cannot write") == 0 &&
                      e.code() == lapheat::Code::run_failed;
        }
        ::_exit(refused ? 0 : 1);
    }
    int status = -1;
    REQUIRE(::waitpid(child, &status, 0) == child);
    CHECK(WIFEXITED(status));
    CHECK(WEXITSTATUS(status) == 0);
    CHECK(files_in(folder.path) == 0);
}

#if !defined(__SANITIZE_ADDRESS__) && !defined(__SANITIZE_THREAD__)  // which own the memory
TEST_CASE("An attribute that is copied while memory runs out is an exception, not a crash") {
    const pid_t child = ::fork();
    if (child == 0) {
        constexpr std::size_t large = 64U << 20U;
        const AttributeValue value{std::string(large, 'x')};
        std::size_t pages = 0;
        std::ifstream("/proc/self/statm") >> pages;
        const rlim_t most = pages * static_cast<std::size_t>(::sysconf(_SC_PAGESIZE)) + large / 4;
        const rlimit limit{most, most};
        if (::setrlimit(RLIMIT_AS, &limit) != 0) ::_exit(2);
        try {
            const Attributes copy = {{"key", value}};
            ::_exit(copy.size() == 1 ? 3 : 4);
        } catch (const std::bad_alloc&) {
            ::_exit(0);
        }
    }
    int status = -1;
    REQUIRE(::waitpid(child, &status, 0) == child);
    CHECK(WIFEXITED(status));
    CHECK(WEXITSTATUS(status) == 0);
}
#endif

TEST_CASE("The same content gives the same bytes") {
    const Folder folder;
    write_sample(folder.path / "a.h5");
    write_sample(folder.path / "b.h5");
    CHECK(content(folder.path / "a.h5") == content(folder.path / "b.h5"));
}

TEST_CASE("Rows that are filled in block by block come out as if written at once") {
    const Folder folder;
    const fs::path file = folder.path / "study.h5";
    std::vector<double> all(20008);
    for (std::size_t i = 0; i < all.size(); ++i) all[i] = static_cast<double>(i);
    {
        Hdf5Writer w(file);
        w.scale("/run", std::span<const double>(all));
        w.rows("/peaks/coolant", {"/run"}, {{"units", "K"}});
        std::size_t first = 0;
        for (const std::size_t block : {1U, 7U, 0U, 20000U}) {
            w.fill("/peaks/coolant", first, std::span<const double>(all).subspan(first, block));
            first += block;
        }
        CHECK_THROWS_AS(w.fill("/peaks/coolant", 20000, std::span<const double>(all)),
                        lapheat::Error);
        w.commit();
    }
    const Hdf5Reader r(file);
    CHECK(r.numbers("/peaks/coolant") == all);
    CHECK(r.dimensions("/peaks/coolant") == std::vector<std::string>{"run"});
}

TEST_CASE("Misuse of the writer is named with its path") {
    const Folder folder;
    Hdf5Writer w(folder.path / "run.h5");
    w.scale("/time", sample_times());
    const std::vector<double> one{1.0};
    CHECK(error_of([&] { w.numbers("/x", one, {"/time"}); }).expected() ==
          "3600, as its scales have");
    CHECK(error_of([&] { w.numbers("/x", one, {"/tme"}); }).key() == "/x");
    CHECK_THROWS_AS(w.numbers("/x", one, {}), lapheat::Error);
    CHECK_THROWS_AS(w.number("x", 1.0), lapheat::Error);
    CHECK_THROWS_AS(w.number("/x/", 1.0), lapheat::Error);
    CHECK_THROWS_AS(w.number("/time", 1.0), lapheat::Error);
    CHECK_THROWS_AS(w.number("/time/x", 1.0), lapheat::Error);
    CHECK_THROWS_AS(w.group("/time"), lapheat::Error);
    CHECK_THROWS_AS(w.attributes("/none", {{"a", 1.0}}), lapheat::Error);
    w.commit();
    CHECK_THROWS_AS(w.commit(), lapheat::Error);
}

TEST_CASE("A folder that is not there is an error that names the file") {
    const auto e = error_of([] { Hdf5Writer w("/no/such/folder/run.h5"); });
    CHECK(e.place().file == "/no/such/folder/run.h5");
    CHECK(std::string(e.what()).find("No such file") != std::string::npos);
}

TEST_CASE("Files that are no results are told apart: missing, foreign, cut short, newer") {
    const Folder folder;
    const auto message = [&](const char* name) {
        return std::string(error_of([&] { const Hdf5Reader r(folder.path / name); }).what());
    };
    CHECK(message("none.h5").find("no such file") != std::string::npos);
    CHECK(message("").find("not a file") != std::string::npos);

    std::ofstream(folder.path / "text.h5") << "[engine]\n";
    CHECK(message("text.h5").find("not an HDF5 file") != std::string::npos);
    std::ofstream(folder.path / "empty.h5") << "";
    CHECK(message("empty.h5").find("not an HDF5 file") != std::string::npos);

    write_sample(folder.path / "whole.h5");
    const std::string whole = content(folder.path / "whole.h5");
    for (const std::size_t size : {whole.size() - 1, whole.size() / 2, std::size_t{600}}) {
        std::ofstream(folder.path / "cut.h5", std::ios::binary) << whole.substr(0, size);
        CHECK(message("cut.h5").find("damaged") != std::string::npos);
    }
    {
        Hdf5Writer w(folder.path / "newer.h5");
        w.attributes("/", {{"layout", layout_version + 1}});
        w.commit();
        Hdf5Writer v(folder.path / "foreign.h5");
        v.attributes("/", {{"format", "something else"}});
        v.commit();
    }
    CHECK(message("newer.h5").find("has layout " + std::to_string(layout_version + 1)) !=
          std::string::npos);
    CHECK(message("foreign.h5").find("no result of lapheat") != std::string::npos);
}

namespace {

/// Opens copies of `whole` with four wrong bytes each; how many were refused.
int refusals(const std::string& whole, const fs::path& file, int rounds) {
    unsigned state = 12345;
    const auto random = [&] { return state = state * 1664525U + 1013904223U; };
    int refused = 0;
    for (int round = 0; round < rounds; ++round) {
        std::string bad = whole;
        for (int k = 0; k < 4; ++k) {
            bad[(random() >> 4U) % bad.size()] = static_cast<char>(random() >> 16U);
        }
        std::ofstream(file, std::ios::binary) << bad;
        try {
            const Hdf5Reader r(file);
            for (const std::string& name : r.datasets("/coolant/radiator")) {
                (void)r.numbers("/coolant/radiator/" + name);
            }
            (void)r.strings("/events/what");
            (void)r.attributes("/");
        } catch (const lapheat::Error&) {
            ++refused;
        }
    }
    return refused;
}

}  // namespace

TEST_CASE("A file with wrong bytes is read or refused, and never crashes") {
    const Folder folder;
    write_sample(folder.path / "whole.h5");
    const std::string whole = content(folder.path / "whole.h5");
    // In a process of its own, so that a crash is a failed check, and because HDF5 grumbles at
    // exit about damaged files that it could not close.
    const pid_t child = ::fork();
    if (child == 0) ::_exit(refusals(whole, folder.path / "bad.h5", 400) > 0 ? 0 : 1);
    int status = -1;
    REQUIRE(::waitpid(child, &status, 0) == child);
    CHECK(WIFEXITED(status));
    CHECK(WEXITSTATUS(status) == 0);
}

TEST_CASE("One wrong bit anywhere in a file is found before any of it is used") {
    const Folder folder;
    write_sample(folder.path / "whole.h5");
    const std::string whole = content(folder.path / "whole.h5");
    const fs::path file = folder.path / "bad.h5";
    unsigned state = 4;
    for (int round = 0; round < 300; ++round) {
        std::string bad = whole;
        state = state * 1664525U + 1013904223U;
        const std::size_t at = (state >> 4U) % whole.size();
        bad[at] = static_cast<char>(bad[at] ^ (1 << (state >> 29U)));
        std::ofstream(file, std::ios::binary) << bad;
        CHECK_THROWS_WITH(Hdf5Reader(file), Catch::Contains("damaged"));
    }
}

TEST_CASE("Texts that do not add up are found where no seal speaks of them") {
    using namespace std::string_literals;
    const Folder folder;
    write_sample(folder.path / "whole.h5");
    std::string unsealed = content(folder.path / "whole.h5");
    unsealed.resize(unsealed.size() - 16);
    const fs::path file = folder.path / "bad.h5";
    const auto open = [&](const std::string& content) {
        std::ofstream(file, std::ios::binary) << content << std::flush;
        const Hdf5Reader r(file);
        CHECK(r.strings("/events/what").size() == 2);
    };
    CHECK_NOTHROW(open(unsealed));
    // The first object of the first heap: its number, its size.
    const std::size_t heap = unsealed.find("GCOL\1\0\0\0"s);
    REQUIRE(heap != std::string::npos);
    for (const std::size_t at : {heap + 8, heap + 15, heap + 16, heap + 17, heap + 25, heap + 31}) {
        std::string bad = unsealed;
        bad[at] = static_cast<char>(bad[at] ^ 0x55);
        CHECK_THROWS_WITH(open(bad), Catch::Contains("do not add up"));
    }
}

TEST_CASE("A text that is referred to and not there is refused, not looked for") {
    const Folder folder;
    const fs::path whole = folder.path / "whole.h5", bad = folder.path / "bad.h5";
    {
        Hdf5Writer w(whole);
        const std::vector<std::string> many(3000, "one of many texts");
        w.scale("/row", std::vector<double>(many.size(), 1.0));
        w.strings("/what", many, {"/row"});
        w.commit();
    }
    std::string unsealed = content(whole);
    unsealed.resize(unsealed.size() - 16);
    // References stand end to end: length 17, the heap's address, the text's number.
    const auto length_at = [&](std::size_t at) {
        return unsealed.compare(at, 4, std::string("\x11\0\0\0", 4)) == 0;
    };
    std::size_t reference = 0;
    while (reference + 64 < unsealed.size() &&
           !(length_at(reference) && length_at(reference + 16) && length_at(reference + 32)))
        ++reference;
    REQUIRE(reference + 64 < unsealed.size());
    const auto read = [&](const std::string& content) {
        std::ofstream(bad, std::ios::binary) << content << std::flush;
        return Hdf5Reader(bad).strings("/what").size();
    };
    CHECK(read(unsealed) == 3000);
    for (const std::size_t byte : {4U, 5U, 6U, 11U, 13U, 14U, 15U}) {
        std::string content = unsealed;
        content[reference + byte] = static_cast<char>(content[reference + byte] ^ 0x80);
        CHECK_THROWS_WITH(read(content), Catch::Contains("are not there"));
    }
}

TEST_CASE("A dataset that states more values than memory holds is refused unread") {
    const Folder folder;
    const fs::path path = folder.path / "huge.h5";
    write_sample(path);
    fs::resize_file(path, fs::file_size(path) - 16);  // without its seal
    const hid_t file = H5Fopen(path.c_str(), H5F_ACC_RDWR, H5P_DEFAULT);
    const hid_t creation = H5Pcreate(H5P_DATASET_CREATE);
    const hsize_t count = 100'000'001, chunk = 1'000'000;  // of which none is on the disk
    H5Pset_chunk(creation, 1, &chunk);
    const hid_t space = H5Screate_simple(1, &count, nullptr);
    const hid_t made =
        H5Dcreate2(file, "/huge", H5T_NATIVE_DOUBLE, space, H5P_DEFAULT, creation, H5P_DEFAULT);
    REQUIRE(made >= 0);
    H5Dclose(made), H5Sclose(space), H5Pclose(creation), H5Fclose(file);
    REQUIRE(fs::file_size(path) < 1'000'000);
    CHECK_THROWS_WITH(Hdf5Reader(path).numbers("/huge"), Catch::Contains("100000001 values"));
}

TEST_CASE("A misspelt path, or one of the wrong kind, is an error with that path") {
    const Folder folder;
    write_sample(folder.path / "run.h5");
    const Hdf5Reader r(folder.path / "run.h5");
    CHECK(error_of([&] { (void)r.numbers("/coolant/inlet"); }).key() == "/coolant/inlet");
    CHECK_THROWS_AS(r.numbers("/coolant"), lapheat::Error);
    CHECK_THROWS_AS(r.numbers("/events/what"), lapheat::Error);
    CHECK_THROWS_AS(r.strings("/time"), lapheat::Error);
    CHECK_THROWS_AS(r.groups("/time"), lapheat::Error);
    CHECK_THROWS_AS(r.number("/time"), lapheat::Error);
}

TEST_CASE("Writers on several threads give the same files as one after the other") {
    const Folder folder;
    write_sample(folder.path / "alone.h5");
    std::vector<std::thread> threads;
    for (int i = 0; i < 4; ++i) {
        threads.emplace_back([&, i] {
            for (int k = 0; k < 2; ++k) {
                write_sample(folder.path / (std::to_string(i) + "_" + std::to_string(k) + ".h5"));
            }
        });
    }
    for (std::thread& thread : threads) thread.join();
    const std::string alone = content(folder.path / "alone.h5");
    for (int i = 0; i < 4; ++i) {
        for (int k = 0; k < 2; ++k) {
            CHECK(content(folder.path / (std::to_string(i) + "_" + std::to_string(k) + ".h5")) ==
                  alone);
        }
    }
}
