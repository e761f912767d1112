// Writes the files that open_with_python.py opens.
#include <catch2/catch.hpp>
#include <filesystem>

#include "sample_file.hpp"

TEST_CASE("Results for Python are written where ctest's script looks for them") {
    namespace fs = std::filesystem;
    const fs::path folder = fs::path(LAPHEAT_BINARY_DIR) / "results_for_python";
    fs::create_directories(folder);
    write_sample(folder / "sample.h5");
    lapheat::results::Hdf5Writer w(folder / "streamed.h5");
    std::vector<double> all(20000);
    for (std::size_t i = 0; i < all.size(); ++i) all[i] = 0.5 * static_cast<double>(i);
    w.scale("/run", std::span<const double>(all));
    w.rows("/peaks/coolant", {"/run"}, {{"units", "K"}});
    for (std::size_t first = 0; first < all.size(); first += 4000)
        w.fill("/peaks/coolant", first, std::span<const double>(all).subspan(first, 4000));
    w.commit();
    CHECK(fs::exists(folder / "sample.h5"));
    CHECK(fs::exists(folder / "streamed.h5"));
}
