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
    w.growing_scale("/run");
    w.growing("/peaks/coolant", "/run", {{"units", "K"}});
    std::vector<double> rows(4000);
    for (int block = 0; block < 5; ++block) {
        for (std::size_t i = 0; i < rows.size(); ++i) {
            rows[i] = 0.5 * static_cast<double>(4000 * block + static_cast<int>(i));
        }
        w.append("/run", rows);
        w.append("/peaks/coolant", rows);
    }
    w.commit();
    CHECK(fs::exists(folder / "sample.h5"));
    CHECK(fs::exists(folder / "streamed.h5"));
}
