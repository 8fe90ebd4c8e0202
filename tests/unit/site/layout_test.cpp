#include "heatrow/site/layout.hpp"

#include <catch2/catch.hpp>

#include <algorithm>

using namespace heatrow;

namespace {

void check_near(const Eigen::Vector3d& got, const Eigen::Vector3d& wanted) {
    INFO("got " << got.transpose() << ", wanted " << wanted.transpose());
    CHECK((got - wanted).norm() < 1e-12);
}

// Facing south, tilted by `tilt`, lower edge on the ground along the x axis.
Module facing_south(double tilt_deg, double width, double height) {
    const double tilt = degrees(tilt_deg).value();
    const Eigen::Vector3d up(0.0, height * std::cos(tilt), height * std::sin(tilt));
    const Eigen::Vector3d right(width, 0.0, 0.0);
    Module module;
    module.corners_in_site = {up, up + right, right, Eigen::Vector3d::Zero()};
    return module;
}

ModuleType half_cut_type() {
    ModuleType type;
    type.width = Metres(1.0);
    type.height = Metres(1.74);
    type.rows = 20;
    type.columns = 6;
    type.cell_area_left = Metres(0.02);
    type.cell_area_top = Metres(0.02);
    type.cell_area_width = Metres(0.96);
    type.cell_area_height = Metres(1.68);
    type.middle_gap = Metres(0.02);
    for (int cell = 0; cell < type.cell_count(); ++cell) {
        type.substring_of_cell.push_back(type.cell_at(cell).column / 2 + 1);
    }
    return type;
}

}  // namespace

TEST_CASE("module: normal points out of the front", "[site]") {
    check_near(facing_south(0.0, 1.0, 1.7).normal_in_site(), {0.0, 0.0, 1.0});
    const double tilt = degrees(30.0).value();
    check_near(facing_south(30.0, 1.0, 1.7).normal_in_site(), {0.0, -std::sin(tilt), std::cos(tilt)});
}

TEST_CASE("module: plane coordinates reach corners and centre", "[site]") {
    auto type = half_cut_type();
    const auto module = facing_south(30.0, 1.0, 1.74);
    check_near(module.point_in_site(type, {0.0, 0.0}), module.corners_in_site[0]);
    check_near(module.point_in_site(type, {1.0, 0.0}), module.corners_in_site[1]);
    check_near(module.point_in_site(type, {1.0, 1.74}), module.corners_in_site[2]);
    check_near(module.point_in_site(type, {0.0, 1.74}), module.corners_in_site[3]);
    check_near(module.point_in_site(type, {0.5, 0.87}), module.centre_in_site());
}

TEST_CASE("module type: cells tile the cell area, the middle gap between the halves", "[site]") {
    const auto type = half_cut_type();
    const auto first = type.cell_corners({0, 0});
    CHECK(first[0].x() == Approx(0.02));
    CHECK(first[0].y() == Approx(0.02));
    CHECK(first[2].x() == Approx(0.18));
    CHECK(first[2].y() == Approx(0.104));
    CHECK(type.cell_corners({10, 0})[0].y() - type.cell_corners({9, 0})[3].y() == Approx(0.02));
    CHECK(type.cell_corners({5, 3})[0].y() == Approx(type.cell_corners({4, 3})[3].y()));
    CHECK(type.cell_corners({19, 5})[2].x() == Approx(0.98));
    CHECK(type.cell_corners({19, 5})[2].y() == Approx(1.72));
}

TEST_CASE("module type: substrings partition the cells", "[site]") {
    const auto type = half_cut_type();
    CHECK(type.substring_count() == 3);
    std::vector<int> all;
    for (int s = 1; s <= 3; ++s) {
        const auto cells = type.cells_of_substring(s);
        CHECK(cells.size() == 40);
        all.insert(all.end(), cells.begin(), cells.end());
    }
    std::sort(all.begin(), all.end());
    CHECK(all.size() == 120);
    CHECK(std::adjacent_find(all.begin(), all.end()) == all.end());
    CHECK(ModuleType{}.substring_count() == 0);
}

TEST_CASE("natural_less: runs of digits compare as numbers", "[site]") {
    CHECK(natural_less("R2", "R10"));
    CHECK_FALSE(natural_less("R10", "R2"));
    CHECK(natural_less("R2M9", "R2M10"));
    CHECK(natural_less("", "a"));
    CHECK(natural_less("a", "a1"));
    CHECK(natural_less("a-1", "a-1b"));
    CHECK(natural_less("99999999999999999999998", "99999999999999999999999"));  // beyond 64 bits
    CHECK(natural_less("x2", "x00010"));
    CHECK_FALSE(natural_less("R2", "R2"));
}

TEST_CASE("natural_less: a strict order, also between ids that differ in zeros only", "[site]") {
    const std::vector<std::string> ids = {
        "R2", "R02", "R002", "R2a", "R02b", "r2", "R", "", "0", "00", "R1-2", "R01-02", "R10"};
    for (const auto& a : ids) {
        for (const auto& b : ids) {
            CHECK((a == b) == (!natural_less(a, b) && !natural_less(b, a)));
            for (const auto& c : ids) {
                CHECK((!natural_less(a, b) || !natural_less(b, c) || natural_less(a, c)));
            }
        }
    }
}

TEST_CASE("layout: modules are found by id", "[site]") {
    Layout layout;
    for (const char* id : {"R2", "R02", "R10", "A1", "R1"}) {
        layout.modules.emplace_back();
        layout.modules.back().id = id;
    }
    std::sort(layout.modules.begin(), layout.modules.end(), [](const Module& a, const Module& b) {
        return natural_less(a.id, b.id);
    });
    for (std::size_t i = 0; i < layout.modules.size(); ++i) {
        CHECK(layout.find_module(layout.modules[i].id) == static_cast<int>(i));
    }
    CHECK_FALSE(layout.find_module("R3").has_value());
    CHECK_FALSE(layout.find_module("R002").has_value());
    CHECK_FALSE(Layout{}.find_module("R1").has_value());
}
