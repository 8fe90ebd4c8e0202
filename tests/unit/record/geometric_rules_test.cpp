#include "heatrow/record/geometric_rules.hpp"

#include <catch2/catch.hpp>

using namespace heatrow;
using Catch::Matchers::WithinAbs;

namespace {

// Cells of a wafer of 166 mm, whole or cut into halves of 83 mm.
ModuleType cells_of(int rows, double height_m) {
    ModuleType type;
    type.rows = rows;
    type.columns = 6;
    type.cell_area_width = Metres(6 * 0.166);
    type.cell_area_height = Metres(rows * height_m);
    return type;
}

}  // namespace

TEST_CASE("geometric rules: whole and half cells of one wafer at one distance differ in the first and the third") {
    // 166 mm / 5 = 3.32 cm a pixel is enough for 5 x 5 px on a whole cell, but not for 3 cm a pixel.
    const auto whole = geometric_rules(5.0, cells_of(10, 0.166));
    REQUIRE(whole);
    CHECK_THAT(whole->per_pixel.value(), WithinAbs(0.0332, 1e-9));
    CHECK_THAT(whole->smallest_spot.value(), WithinAbs(0.0996, 1e-9));
    CHECK(whole->five_pixels_a_cell);
    CHECK_FALSE(whole->three_cm_a_pixel);
    CHECK(whole->spot_in_a_cell);
    // The same at 3 cm: 2.8 px across the half cell.
    const auto half = geometric_rules(0.083 / 0.03 + 1e-9, cells_of(20, 0.083));
    REQUIRE(half);
    CHECK_FALSE(half->five_pixels_a_cell);
    CHECK(half->three_cm_a_pixel);
    CHECK_FALSE(half->spot_in_a_cell);
    // 5 px on the half cell: 1.66 cm a pixel, all three met.
    const auto near = geometric_rules(5.0, cells_of(20, 0.083));
    REQUIRE(near);
    CHECK_THAT(near->per_pixel.value(), WithinAbs(0.0166, 1e-9));
    CHECK((near->five_pixels_a_cell && near->three_cm_a_pixel && near->spot_in_a_cell));
}

TEST_CASE("geometric rules: nothing is said of a module that no frame shows") {
    CHECK_FALSE(geometric_rules(kNaN, cells_of(10, 0.166)));
    CHECK_FALSE(geometric_rules(0.0, cells_of(10, 0.166)));
}
