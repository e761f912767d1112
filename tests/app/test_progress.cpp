#include "progress.hpp"

#include <unistd.h>

#include <catch2/catch.hpp>
#include <cstdio>
#include <string>
#include <vector>

using lapheat::app::Progress;
using lapheat::app::progress_line;

namespace {

/// A progress bar with a clock that the test turns.
struct Bench {
    std::vector<std::string> drawn;
    Progress::Clock::time_point now{};
    Progress bar{"runs", 100, 60, [this](const std::string& s) { drawn.push_back(s); },
                 [this] { return now; }};
    void wait(int milliseconds) { now += std::chrono::milliseconds(milliseconds); }
};

}  // namespace

TEST_CASE("Work of less than a second shows no bar") {
    Bench bench;
    for (int i = 0; i < 99; ++i) {
        bench.wait(10);
        bench.bar.add();
    }
    bench.bar.done();
    CHECK(bench.drawn.empty());
}

TEST_CASE("Longer work shows a bar at most ten times a second and wipes it") {
    Bench bench;
    for (int i = 0; i < 100; ++i) {
        bench.wait(50);
        bench.bar.add();
    }
    bench.bar.done();
    CHECK(bench.drawn.size() > 30);
    CHECK(bench.drawn.size() <= 51);
    CHECK(bench.drawn.front().find("20 %") != std::string::npos);
    CHECK(bench.drawn.front().find("4 s left") != std::string::npos);
    CHECK(bench.drawn.back() == "\r\x1b[K");
    bench.bar.add();
    bench.bar.done();
    CHECK(bench.drawn.size() <= 51);
}

TEST_CASE("Where what is written stays, a line comes each ten seconds and none is wiped") {
    std::vector<std::string> drawn;
    Progress::Clock::time_point now{};
    {
        Progress lines(
            "placements", 100, 60, [&](const std::string& s) { drawn.push_back(s); },
            [&] { return now; }, Progress::As::lines);
        for (int i = 0; i < 50; ++i) {
            now += std::chrono::milliseconds(500);
            lines.add(2);
        }
    }
    CHECK(drawn == std::vector<std::string>{"lapheat: placements: 40 %, 15 s left\n",
                                            "lapheat: placements: 80 %, 5 s left\n"});
}

TEST_CASE("A bar that may not draw stays silent however long it takes") {
    // What the process writes to its standard error meanwhile.
    std::FILE* seen = std::tmpfile();
    REQUIRE(seen);
    const int kept = dup(STDERR_FILENO);
    dup2(fileno(seen), STDERR_FILENO);
    {
        Progress::Clock::time_point now{};
        Progress bar("runs", 2, 60, nullptr, [&] { return now; });
        now += std::chrono::seconds(10);
        bar.add();
        bar.done();
    }
    std::fflush(stderr);
    dup2(kept, STDERR_FILENO);
    close(kept);
    std::fseek(seen, 0, SEEK_END);
    CHECK(std::ftell(seen) == 0);
    std::fclose(seen);
}

TEST_CASE("The bar grows with the work and never leaves its width") {
    CHECK(progress_line("runs", 0.5, 12.0, 60) ==
          "[" + std::string(17, '=') + ">" + std::string(17, ' ') + "]  50 %  12 s left  runs");
    CHECK(progress_line("runs", 1.0, 0.0, 28) == "[==========] 100 %  0 s left");
    for (std::size_t width = 0; width < 90; ++width) {
        for (const double fraction : {-1.0, 0.0, 0.333, 1.0, 2.0}) {
            CHECK(progress_line("placements", fraction, 3600.0, width).size() <= width);
        }
    }
}
