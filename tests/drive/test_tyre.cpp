#include <catch2/catch.hpp>
#include <lapheat/drive/tyre.hpp>
#include <lapheat/units/error.hpp>

using namespace lapheat::drive;

TEST_CASE("the size on a tyre's wall gives its width, diameter and rolling radius") {
    // 225/50R16: 16 x 25.4 + 2 x 0.5 x 225 = 631.4 mm; 3.05 x 631.4 / (2 pi) = 306.5 mm.
    const TyreSize t = tyre_size("225/50R16");
    CHECK(t.width == Approx(0.225));
    CHECK(t.diameter() == Approx(0.6314));
    CHECK(t.rolling_radius() == Approx(0.3065).epsilon(2e-4));
    // 195/65R15: 634.5 mm; a turn of 1935 mm.
    CHECK(tyre_size("195/65 R 15").rolling_radius() == Approx(1.9352 / 6.28319).epsilon(1e-4));
}

TEST_CASE("letters of use, speed and load about a tyre size change nothing but its build") {
    const double radius = tyre_size("225/50R16").rolling_radius();
    for (const char* text :
         {"P225/50 ZR16 92W", " 225/50r16", "225/50VR16", "225 / 50 R 16 96Y XL"})
        CHECK(tyre_size(text).rolling_radius() == radius);
    CHECK(tyre_size("225/50B16").rolling_radius() == Approx(radius * 2.99 / 3.05));
    CHECK(tyre_size("185R14").aspect == 0.82);
}

TEST_CASE("a bigger rim, a taller or a wider tyre rolls further") {
    const double base = tyre_size("205/55R16").rolling_radius();
    CHECK(tyre_size("205/55R17").rolling_radius() > base);
    CHECK(tyre_size("205/60R16").rolling_radius() > base);
    CHECK(tyre_size("215/55R16").rolling_radius() > base);
}

TEST_CASE("what is no tyre size is told what one looks like") {
    for (const char* text : {"", "225", "225/50", "50/225R16", "225/50R", "225/50R48", "225/05R16",
                             "22.5/50R16", "640 mm"}) {
        INFO(text);
        CHECK_THROWS_WITH(tyre_size(text),
                          Catch::Contains("225/50R16") || Catch::Contains("is not a tyre size"));
    }
}
