#include "heatrow/site/neighbours.hpp"

#include <catch2/catch.hpp>

#include <algorithm>
#include <random>

using namespace heatrow;

namespace {

void add_module(Layout& layout, double east, double north, int table) {
    Module module;
    module.id = "M" + std::to_string(layout.modules.size());
    module.table = table;
    module.tilt = degrees(20.0);
    module.azimuth = degrees(180.0);
    const Eigen::Vector3d centre(east, north, 0.0);
    module.corners_in_site = {centre + Eigen::Vector3d(-0.5, 0.8, 0.0),
                              centre + Eigen::Vector3d(0.5, 0.8, 0.0),
                              centre + Eigen::Vector3d(0.5, -0.8, 0.0),
                              centre + Eigen::Vector3d(-0.5, -0.8, 0.0)};
    layout.modules.push_back(module);
}

NeighbourOptions options(double radius_m, int wanted) {
    return {Metres(radius_m), wanted, degrees(3.0), degrees(10.0)};
}

// Three tables of ten modules, one behind the other.
Layout three_tables() {
    Layout layout;
    for (int table = 0; table < 3; ++table) {
        for (int place = 0; place < 10; ++place) {
            add_module(layout, place, 6.0 * table, table);
        }
    }
    return layout;
}

}  // namespace

TEST_CASE("neighbours: nearest first, half of them from the own table", "[site]") {
    const auto layout = three_tables();
    const NeighbourIndex index(layout, options(40.0, 8));
    const auto near = index.nearest(4);
    REQUIRE(near.size() == 8);
    CHECK(near[0] == 3);  // equal distance: by index
    CHECK(near[1] == 5);
    const auto own = std::count_if(near.begin(), near.end(), [](int m) { return m < 10; });
    CHECK(own == 4);
}

TEST_CASE("neighbours: the own table fills up where others are too far", "[site]") {
    const auto layout = three_tables();
    const NeighbourIndex index(layout, options(5.0, 8));
    const auto near = index.nearest(4);
    REQUIRE(near.size() == 8);
    CHECK(std::all_of(near.begin(), near.end(), [](int m) { return m < 10; }));
}

TEST_CASE("neighbours: only like and eligible ones", "[site]") {
    auto layout = three_tables();
    layout.modules[3].type = 1;
    layout.modules[5].tilt = degrees(24.0);
    layout.modules[2].azimuth = degrees(200.0);
    const NeighbourIndex index(layout, options(40.0, 30));
    std::vector<char> eligible(layout.modules.size(), 1);
    eligible[6] = 0;
    const auto near = index.nearest(4, eligible);
    CHECK(near.size() == 25);
    for (const int out : {2, 3, 4, 5, 6}) {
        CHECK(std::find(near.begin(), near.end(), out) == near.end());
    }
}

TEST_CASE("neighbours: azimuth wraps, and has no meaning on flat modules", "[site]") {
    Module a;
    Module b;
    a.tilt = b.tilt = degrees(10.0);
    a.azimuth = degrees(357.0);
    b.azimuth = degrees(4.0);
    CHECK(are_like(a, b, options(10.0, 1)));
    b.azimuth = degrees(90.0);
    CHECK_FALSE(are_like(a, b, options(10.0, 1)));
    a.tilt = b.tilt = degrees(0.2);
    CHECK(are_like(a, b, options(10.0, 1)));
}

TEST_CASE("neighbours: the grid finds what a plain search finds", "[site]") {
    Layout layout;
    std::mt19937_64 engine(3);
    std::uniform_real_distribution<double> place(0.0, 120.0);
    for (int i = 0; i < 400; ++i) {
        const double east = place(engine);
        add_module(layout, east, place(engine), -1);
    }
    const NeighbourIndex index(layout, options(25.0, 12));
    for (int module = 0; module < 400; module += 7) {
        std::vector<std::pair<double, int>> plain;
        const auto centre = layout.modules[static_cast<std::size_t>(module)].centre_in_site();
        for (int other = 0; other < 400; ++other) {
            const double distance = (layout.modules[static_cast<std::size_t>(other)].centre_in_site() - centre).norm();
            if (other != module && distance <= 25.0) {
                plain.emplace_back(distance, other);
            }
        }
        std::sort(plain.begin(), plain.end());
        plain.resize(std::min<std::size_t>(plain.size(), 12));
        std::vector<int> wanted;
        for (const auto& [distance, other] : plain) {
            wanted.push_back(other);
        }
        CHECK(index.nearest(module) == wanted);
    }
}

TEST_CASE("neighbours: a module alone has none", "[site]") {
    Layout layout;
    add_module(layout, 0.0, 0.0, -1);
    CHECK(NeighbourIndex(layout, options(40.0, 10)).nearest(0).empty());
    add_module(layout, 1000.0, 0.0, -1);
    CHECK(NeighbourIndex(layout, options(40.0, 10)).nearest(0).empty());
}
