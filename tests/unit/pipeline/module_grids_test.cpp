// Module grids without a layout, on painted fields of known corners.
#include "heatrow/pipeline/module_grids.hpp"

#include "grid_placement.hpp"
#include "heatrow/camera/posed_camera.hpp"
#include "support/module_field.hpp"

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <random>

using namespace heatrow;
using namespace heatrow::test;
using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;
using Eigen::Vector2d;

namespace {

// A roof of 3 x 7 modules, 30 deg steep.
FieldOptions roof() {
    FieldOptions field;
    field.rows = 1;
    field.modules_along = 7;
    field.modules_up = 3;
    field.tilt_deg = 30.0;
    field.lower_edge_m = 0.2;
    return field;
}

// From the parapet opposite, a little from the side.
FramePose by_hand(double east, double turned_deg) {
    FramePose pose = looking_down(east, -9.0, 9.0);
    pose.yaw = degrees(turned_deg);
    pose.pitch = degrees(52.0);
    pose.roll = degrees(3.0);
    return pose;
}

struct Figures {
    int whole = 0;
    int found = 0;
    int invented = 0;
    double worst_px = 0.0;
};

Vector2d middle_of(const std::array<Vector2d, 4>& corners) {
    return 0.25 * (corners[0] + corners[1] + corners[2] + corners[3]);
}

// Corners of a grid's module against the nearest way round of the true ones.
double worst_corner(const GridModule& module, const std::array<Vector2d, 4>& truth) {
    double best = HUGE_VAL;
    for (std::size_t turn = 0; turn < 4; ++turn) {
        double worst = 0.0;
        for (std::size_t k = 0; k < 4; ++k) {
            worst = std::max(worst, (module.corners_px[k] - truth[(k + turn) % 4]).norm());
        }
        best = std::min(best, worst);
    }
    return best;
}

Figures compare(const std::vector<ModuleGrid>& grids, const Layout& layout, const PosedCamera& camera) {
    Figures figures;
    std::size_t right = 0;
    for (const Module& module : layout.modules) {
        std::array<Vector2d, 4> corners;
        bool inside = true;
        for (std::size_t k = 0; k < 4; ++k) {
            const auto pixel = camera.project(module.corners_in_site[k]);
            inside = inside && pixel && inside_picture(camera.lens(), *pixel);
            corners[k] = pixel.value_or(Vector2d(-1e6, -1e6));
        }
        figures.whole += inside ? 1 : 0;
        for (const ModuleGrid& grid : grids) {
            if (const GridModule* found = grid.at(middle_of(corners))) {
                const double worst = worst_corner(*found, corners);
                if (worst > 3.0) {
                    continue;
                }
                ++right;
                if (inside) {
                    ++figures.found;
                    figures.worst_px = std::max(figures.worst_px, worst);
                }
            }
        }
    }
    std::size_t all = 0;
    for (const ModuleGrid& grid : grids) {
        all += grid.modules.size();
    }
    figures.invented = static_cast<int>(all - right);
    return figures;
}

}  // namespace

TEST_CASE("module grids: an oblique roof by hand, lens known or not, rims of either sign", "[pipeline]") {
    const Layout layout = make_field(roof());
    for (const double rim : {3000.0, 7000.0}) {
        for (const double turned_deg : {-14.0, 0.0, 12.0}) {
            const PosedCamera camera(small_lens(), by_hand(3.6 - 0.14 * turned_deg, turned_deg));
            PaintOptions paint_options;
            paint_options.rim = rim;
            paint_options.ground = rim > 5000.0 ? 6200.0 : 4000.0;
            paint_options.noise = 40.0;
            const Image<float> picture = paint(layout, camera, paint_options);
            for (const bool lens_known : {true, false}) {
                GridOptions options;
                if (lens_known) {
                    options.lens = small_lens();
                    options.shapes = {{layout.types[0].width, layout.types[0].height, layout.types[0].frame_width}};
                }
                const auto grids = find_module_grids(picture.view(), options);
                INFO("rim " << rim << ", turned " << turned_deg << " deg, lens " << lens_known << " "
                            << (grids ? "" : grids.error().detail));
                REQUIRE(grids);
                CHECK(grids->front().dark_lines == (rim < 5000.0));
                const Figures figures = compare(*grids, layout, camera);
                CHECK(figures.whole >= 11);
                CHECK(figures.found == figures.whole);
                CHECK(figures.invented == 0);
                CHECK(figures.worst_px < (lens_known ? 0.5 : 0.8));
                CHECK(std::isnan(grids->front().pitch_aspect) != lens_known);
            }
        }
    }
}

TEST_CASE("module grids: a warm module and hot cells stay modules, a missing one is a hole", "[pipeline]") {
    Layout layout = make_field(roof());
    const PosedCamera camera(small_lens(), by_hand(3.6, 0.0));
    PaintOptions paint_options;
    paint_options.noise = 40.0;
    paint_options.cell_excess = [](int module, int cell) {
        if (module == 5) {
            return 600.0;
        }
        return module == 9 && cell % 20 < 10 ? 1500.0 : 0.0;
    };
    const Image<float> picture = paint(layout, camera, paint_options);
    GridOptions options;
    options.lens = small_lens();
    const auto grids = find_module_grids(picture.view(), options);
    REQUIRE(grids);
    const Figures all = compare(*grids, layout, camera);
    CHECK(all.found == all.whole);
    CHECK(grids->front().holes.empty());

    const std::ptrdiff_t gone = 10;  // in the middle row
    Layout with_gap = layout;
    with_gap.modules.erase(with_gap.modules.begin() + gone);
    const Image<float> gap_picture = paint(with_gap, camera, PaintOptions{});
    const auto gap_grids = find_module_grids(gap_picture.view(), options);
    REQUIRE(gap_grids);
    const Figures rest = compare(*gap_grids, with_gap, camera);
    CHECK(rest.found == rest.whole);
    CHECK(rest.invented == 0);
    CHECK(gap_grids->front().holes.size() == 1);
}

TEST_CASE("module grids: a gap between tables is no column without modules, and such a column is no gap",
          "[pipeline]") {
    PaintOptions paint_options;
    paint_options.noise = 40.0;
    GridOptions options;
    options.lens = small_lens();
    FieldOptions field;
    field.rows = 1;
    field.modules_up = 2;
    const FramePose above = looking_down(3.7, 1.5, 16.0);
    const PosedCamera camera(small_lens(), above);
    // The gaps are up to an eighth of a module narrower or wider than the room for one.
    for (const double gap : {0.9, 0.95, 1.12}) {
        field.tables_in_row = 2;
        field.modules_along = 3;
        field.table_gap_m = gap;
        const Layout layout = make_field(field);
        const Image<float> picture = paint(layout, camera, paint_options);
        const auto grids = find_module_grids(picture.view(), options);
        INFO("gap " << gap);
        REQUIRE(grids);
        CHECK(grids->size() == 2);
        const Figures figures = compare(*grids, layout, camera);
        CHECK(figures.whole == 12);
        CHECK(figures.found == 12);
        CHECK(figures.invented == 0);
        CHECK(figures.worst_px < 1.0);
    }
    field.tables_in_row = 1;
    field.modules_along = 7;
    Layout layout = make_field(field);
    std::erase_if(layout.modules, [](const Module& module) {
        const double east = module.centre_in_site().x();
        return east > 3.0 && east < 4.0;
    });
    const Image<float> picture = paint(layout, camera, paint_options);
    const auto grids = find_module_grids(picture.view(), options);
    REQUIRE(grids);
    CHECK(layout.modules.size() == 12);
    CHECK(grids->size() == 1);
    CHECK(grids->front().columns == 7);
    CHECK(compare(*grids, layout, camera).found == 12);
}

TEST_CASE("module grids: the shape told by a known lens refuses other modules", "[pipeline]") {
    const Layout layout = make_field(roof());
    const PosedCamera camera(small_lens(), by_hand(3.6, 0.0));
    const Image<float> picture = paint(layout, camera, PaintOptions{});
    GridOptions options;
    options.lens = small_lens();
    options.shapes = {{Metres(1.0), Metres(1.0), Metres(0.01)}, {Metres(1.0), Metres(2.4), Metres(0.01)}};
    const auto grids = find_module_grids(picture.view(), options);
    REQUIRE_FALSE(grids);
    CHECK_THAT(grids.error().detail, Contains("ratio of width to height"));
}

TEST_CASE("module grids: pictures without modules say why", "[pipeline]") {
    Image<float> even(320, 256, 5000.0F);
    const auto blank = find_module_grids(std::as_const(even).view());
    REQUIRE_FALSE(blank);
    CHECK(blank.error().reason == RejectReason::not_locked);
    CHECK_THAT(blank.error().detail, Contains("contrast"));

    std::mt19937 random(5);
    std::normal_distribution<float> noise(0.0F, 30.0F);
    for (float& count : even.pixels()) {
        count += noise(random);
    }
    const auto noisy = find_module_grids(std::as_const(even).view());
    REQUIRE_FALSE(noisy);
    CHECK_THAT(noisy.error().detail, Contains("too few lines") || Contains("contrast"));

    // stripes: one family of lines
    for (int y = 0; y < even.height(); ++y) {
        for (int x = 0; x < even.width(); ++x) {
            even.view()(x, y) += x % 25 < 2 ? -800.0F : 0.0F;
        }
    }
    const auto striped = find_module_grids(std::as_const(even).view());
    CHECK_FALSE(striped);
}

TEST_CASE("module grids: ground as dark as the rims hides free sides, not the modules", "[pipeline]") {
    FieldOptions field;
    field.rows = 1;
    field.modules_along = 6;
    field.modules_up = 2;
    const Layout layout = make_field(field);
    const PosedCamera camera(small_lens(), looking_down(3.0, 1.5, 17.0));
    PaintOptions paint_options;
    paint_options.noise = 40.0;
    GridOptions options;
    options.lens = small_lens();
    options.shapes = {{layout.types[0].width, layout.types[0].height, layout.types[0].frame_width}};
    for (const double ground : {3000.0, 2600.0}) {
        paint_options.ground = ground;
        const Image<float> picture = paint(layout, camera, paint_options);
        const auto grids = find_module_grids(picture.view(), options);
        INFO("ground " << ground << " " << (grids ? "" : grids.error().detail));
        REQUIRE(grids);
        const Figures figures = compare(*grids, layout, camera);
        CHECK(figures.whole == 12);
        CHECK(figures.found == 12);
        CHECK(figures.invented == 0);
    }
}

TEST_CASE("module grids: dust over rims and glass leaves what stands out of the noise", "[pipeline]") {
    const Layout layout = make_field(roof());
    const PosedCamera camera(small_lens(), by_hand(3.6, 0.0));
    GridOptions options;
    options.lens = small_lens();
    // Rims 25 standard deviations of the noise from the glass, 8, and none: darker, then brighter than it.
    for (const double sign : {-1.0, 1.0}) {
        for (const double contrast : {1000.0, 320.0, 0.0}) {
            PaintOptions paint_options;
            paint_options.noise = 40.0;
            paint_options.rim = paint_options.glass + sign * contrast;
            paint_options.ground = paint_options.glass + sign * contrast;
            const Image<float> picture = paint(layout, camera, paint_options);
            const auto grids = find_module_grids(picture.view(), options);
            INFO("rims " << sign * contrast << " off the glass: " << (grids ? "" : grids.error().detail));
            if (contrast == 0.0) {
                REQUIRE_FALSE(grids);
                CHECK((grids.error().detail.find("contrast") != std::string::npos ||
                       grids.error().detail.find("too few lines") != std::string::npos));
                continue;
            }
            REQUIRE(grids);
            const Figures figures = compare(*grids, layout, camera);
            CHECK(figures.found == figures.whole);
            CHECK(figures.invented == 0);
        }
    }
}

TEST_CASE("module grids: what lies under snow is neither found nor invented", "[pipeline]") {
    const Layout layout = make_field(roof());
    const PosedCamera camera(small_lens(), by_hand(3.6, 0.0));
    PaintOptions paint_options;
    paint_options.noise = 40.0;
    Image<float> picture = paint(layout, camera, paint_options);
    GridOptions options;
    options.lens = small_lens();
    options.shapes = {{layout.types[0].width, layout.types[0].height, layout.types[0].frame_width}};
    // A snow line straight across the roof, lower and higher up: what is below it in the picture is even and cold.
    // The modules above the line are found, those that it cuts are none of another size; where no row is left, no grid
    // fits the modules' ratio of width to height, and that is said.
    const double middle = camera.project(layout.modules[10].centre_in_site())->y();
    std::mt19937 random(3);
    std::normal_distribution<float> noise(2000.0F, 40.0F);
    const auto cover = [&](int from) {
        for (int y = from; y < picture.height(); ++y) {
            for (int x = 0; x < picture.width(); ++x) {
                picture.view()(x, y) = noise(random);
            }
        }
    };
    for (const int below : {90, 60, 45, 30, 10}) {
        cover(static_cast<int>(middle) + below);
        const auto left = find_module_grids(std::as_const(picture).view(), options);
        INFO("snow from " << below << " px below the middle: " << (left ? "" : left.error().detail));
        constexpr int kRowsLeft = 30;
        CHECK((left || below < kRowsLeft));
        if (left) {
            const Figures figures = compare(*left, layout, camera);
            CHECK(figures.invented == 0);
            CHECK(figures.found >= 10);
        } else {
            CHECK_THAT(left.error().detail, Contains("do not fit") || Contains("too few lines"));
        }
    }
    cover(0);
    const auto all = find_module_grids(std::as_const(picture).view(), options);
    REQUIRE_FALSE(all);
    CHECK(all.error().reason == RejectReason::not_locked);
    CHECK((all.error().detail.find("snow") != std::string::npos ||
           all.error().detail.find("too few lines") != std::string::npos));
}

TEST_CASE("module grids: no data is no module", "[pipeline]") {
    const Layout layout = make_field(roof());
    const PosedCamera camera(small_lens(), by_hand(3.6, 0.0));
    Image<float> picture = paint(layout, camera, PaintOptions{});
    for (int y = 0; y < picture.height(); ++y) {
        for (int x = 0; x < 120; ++x) {
            picture.view()(x, y) = 0.0F;
        }
    }
    GridOptions options;
    options.lens = small_lens();
    options.nodata = 0.0;
    const auto grids = find_module_grids(std::as_const(picture).view(), options);
    REQUIRE(grids);
    const Figures figures = compare(*grids, layout, camera);
    CHECK(figures.invented == 0);
    CHECK(figures.found >= 6);
}

TEST_CASE("module grids: one named module places a frame, a wrong name does not", "[pipeline]") {
    FieldOptions field = roof();
    field.modules_along = 4;
    const Layout layout = make_field(field);
    const LayoutIndex site(layout);
    FramePose pose = by_hand(2.1, 4.0);
    pose.position_in_site += Eigen::Vector3d(0.0, -1.5, 1.5);
    const PosedCamera camera(small_lens(), pose);
    PaintOptions paint_options;
    paint_options.noise = 40.0;
    const Image<float> picture = paint(layout, camera, paint_options);
    const auto name = [&](int seen, int called) {
        return CornerPoint{*camera.project(site.centre_in_site(seen)) + Vector2d(2.0, -3.0),
                           site.centre_in_site(called)};
    };
    FramePrior prior;
    prior.corner_points = {name(1, 1)};
    CHECK(named_inside(site, prior));
    const auto placed = place_by_grid(site, small_lens(), prior, picture.view(), {});
    INFO((placed ? "" : placed.error().detail));
    REQUIRE(placed);
    const PosedCamera found(small_lens(), placed->pose);
    for (const Module& module : layout.modules) {
        for (const Eigen::Vector3d& corner : module.corners_in_site) {
            CHECK((*found.project(corner) - *camera.project(corner)).norm() < 0.4);
        }
    }
    for (const int wrong : {0, 2, 5}) {
        prior.corner_points = {name(1, wrong)};
        const auto refused = place_by_grid(site, small_lens(), prior, picture.view(), {});
        REQUIRE_FALSE(refused);
        CHECK_THAT(refused.error().detail, Contains("is the named module right?"));
    }
    prior.corner_points = {{Vector2d(2.0, 2.0), site.centre_in_site(1)}};
    const auto missed = place_by_grid(site, small_lens(), prior, picture.view(), {});
    REQUIRE_FALSE(missed);
    CHECK_THAT(missed.error().detail, Contains("no module was found at the named pixel"));
}

TEST_CASE("module grids: a frame that fits two ways round asks for a second name", "[pipeline]") {
    FieldOptions field = roof();
    field.modules_along = 5;
    const Layout layout = make_field(field);
    const LayoutIndex site(layout);
    FramePose pose = by_hand(2.6, 0.0);
    pose.position_in_site += Eigen::Vector3d(0.0, -2.5, 2.5);
    const PosedCamera camera(small_lens(), pose);
    const Image<float> picture = paint(layout, camera, PaintOptions{});
    int middle = 0;  // the one in the middle of three rows of five
    Eigen::Vector3d mean = Eigen::Vector3d::Zero();
    for (int i = 0; i < 15; ++i) {
        mean += site.centre_in_site(i) / 15.0;
    }
    for (int i = 0; i < 15; ++i) {
        if ((site.centre_in_site(i) - mean).norm() < (site.centre_in_site(middle) - mean).norm()) {
            middle = i;
        }
    }
    FramePrior prior;
    prior.corner_points = {{*camera.project(site.centre_in_site(middle)), site.centre_in_site(middle)}};
    const auto open = place_by_grid(site, small_lens(), prior, picture.view(), {});
    REQUIRE_FALSE(open);
    CHECK_THAT(open.error().detail, Contains("two ways round"));
    prior.corner_points.push_back({*camera.project(site.centre_in_site(0)), site.centre_in_site(0)});
    CHECK(place_by_grid(site, small_lens(), prior, picture.view(), {}));
}
