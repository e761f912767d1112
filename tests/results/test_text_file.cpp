// Files appear whole or not at all, in the place that was meant, and nothing else is touched.
#include <fcntl.h>
#include <sys/file.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <csignal>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <lapheat/results/text_file.hpp>
#include <string>

#include "files.hpp"
#include "lapheat/units/diagnostic.hpp"
#include "lapheat/units/error.hpp"

using namespace lapheat;
using results::write_whole;
using namespace files;

TEST_CASE("A file is written, and written over, whole and alone") {
    const Folder folder;
    const fs::path file = folder.path / "a file.txt";
    write_whole(file, "one");
    CHECK(content(file) == "one");
    const std::string much(3'000'000, 'x');
    write_whole(file, much);
    CHECK(content(file) == much);
    CHECK(files_in(folder.path) == 1);
    write_whole(file, "");
    CHECK(content(file).empty());
}

TEST_CASE("A link leads to the file it names, and stays a link") {
    const Folder folder;
    fs::create_directory(folder.path / "elsewhere");
    const fs::path real = folder.path / "elsewhere" / "real.txt", link = folder.path / "link.txt";
    write_whole(real, "old");
    fs::create_symlink(real, link);
    write_whole(link, "new");
    CHECK(fs::is_symlink(link));
    CHECK(content(real) == "new");
    CHECK(files_in(folder.path) == 2);
    fs::create_symlink(folder.path / "nowhere" / "x", folder.path / "dangling");
    CHECK_THROWS_AS(write_whole(folder.path / "dangling", "x"), Error);
}

TEST_CASE(
    "A folder, a device and a pipe are refused before and at writing, and stay what they are") {
    const Folder folder;
    const fs::path pipe = folder.path / "pipe", inner = folder.path / "inner";
    REQUIRE(::mkfifo(pipe.c_str(), 0600) == 0);
    fs::create_directory(inner);
    for (const fs::path& target : {pipe, inner, fs::path("/dev/null"), fs::path("/dev/full")}) {
        INFO(target);
        const auto type = fs::status(target).type();
        CHECK_THAT(error_of([&] { write_whole(target, "x"); }).what(),
                   Catch::Contains("cannot write '" + target.string()));
        CHECK(error_of([&] { results::require_writable(target); }).code() == Code::bad_input);
        CHECK(fs::status(target).type() == type);
    }
    CHECK_THROWS_AS(results::require_writable(folder.path / "none" / "x"), Error);
    CHECK_NOTHROW(results::require_writable(folder.path / "x"));
    CHECK(files_in(folder.path) == 2);
}

TEST_CASE("Where the disk takes no more, the old file stays and nothing is left") {
    const Folder folder;
    const fs::path file = folder.path / "x";
    write_whole(file, "old");
    const pid_t child = ::fork();
    if (child == 0) {
        const rlimit limit{10000, 10000};
        ::setrlimit(RLIMIT_FSIZE, &limit);
        ::signal(SIGXFSZ, SIG_IGN);
        bool right = false;
        try {
            write_whole(file, std::string(20000, 'x'));
        } catch (const Error& e) {
            right = e.code() == Code::run_failed &&
                    std::string(e.what()).find("File too large") != std::string::npos;
        }
        ::_exit(right ? 0 : 1);
    }
    int status = -1;
    REQUIRE(::waitpid(child, &status, 0) == child);
    CHECK(WIFEXITED(status));
    CHECK(WEXITSTATUS(status) == 0);
    CHECK(content(file) == "old");
    CHECK(files_in(folder.path) == 1);
}

TEST_CASE("What killed writers left goes with the next one; what living ones hold stays") {
    const Folder folder;
    std::ofstream(folder.path / ".lapheat-0123.part") << "left";
    std::ofstream(folder.path / ".lapheat-held.part") << "held";
    std::ofstream(folder.path / ".lapheat-note.txt") << "somebody's own";
    const int held = ::open((folder.path / ".lapheat-held.part").c_str(), O_RDONLY | O_CLOEXEC);
    REQUIRE(held >= 0);
    REQUIRE(::flock(held, LOCK_EX) == 0);
    write_whole(folder.path / "x", "x");
    CHECK_FALSE(fs::exists(folder.path / ".lapheat-0123.part"));
    CHECK(fs::exists(folder.path / ".lapheat-held.part"));
    CHECK(fs::exists(folder.path / ".lapheat-note.txt"));
    ::close(held);
}

TEST_CASE("Of many writers of one file one wins whole, and all say that they wrote") {
    const Folder folder;
    const fs::path file = folder.path / "x";
    std::vector<pid_t> children;
    for (char letter = 'a'; letter < 'g'; ++letter) {
        children.push_back(::fork());
        if (children.back() != 0) continue;
        bool good = true;
        try {
            for (int i = 0; i < 20; ++i) write_whole(file, std::string(100'000, letter));
        } catch (const std::exception&) {
            good = false;
        }
        ::_exit(good ? 0 : 1);
    }
    for (const pid_t child : children) {
        int status = -1;
        REQUIRE(::waitpid(child, &status, 0) == child);
        CHECK(status == 0);
    }
    const std::string all = content(file);
    CHECK(all == std::string(100'000, all.front()));
    CHECK(files_in(folder.path) == 1);
}

TEST_CASE("A file that is written over keeps who may read it") {
    const Folder folder;
    const fs::path file = folder.path / "x";
    write_whole(file, "x");
    fs::permissions(file, fs::perms::owner_read | fs::perms::owner_write);
    write_whole(file, "y");
    CHECK((fs::status(file).permissions() & fs::perms::mask) ==
          (fs::perms::owner_read | fs::perms::owner_write));
}
