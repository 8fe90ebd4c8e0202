#include "heatrow/segment/sample.hpp"

#include "support/module_field.hpp"

#include <catch2/catch.hpp>

#include <cmath>
#include <utility>

using namespace heatrow;
using namespace heatrow::test;
using Catch::Matchers::WithinAbs;

namespace {

FramePose over_the_field(double yaw_deg) {
    FramePose pose = looking_down(5.0, 2.5, 18.0);
    pose.yaw = degrees(yaw_deg);
    pose.pitch = degrees(3.0);
    return pose;
}

const ModuleSlot* slot_of(const std::vector<ModuleSlot>& slots, int module) {
    for (const ModuleSlot& slot : slots) {
        if (slot.module == module) {
            return &slot;
        }
    }
    return nullptr;
}

}  // namespace

TEST_CASE("sampling: even modules read their level, plain means exactly", "[segment]") {
    const Layout layout = make_field(FieldOptions{});
    const LayoutIndex site(layout);
    // Rims like the glass: no blur from outside reaches a cell's inside but from the ground, a pixel away.
    PaintOptions paint_options;
    paint_options.rim = paint_options.ground = paint_options.glass;
    for (const double yaw : {0.0, 23.0}) {
        const PosedCamera camera(small_lens(), over_the_field(yaw));
        const Image<float> picture = paint(layout, camera, paint_options);
        const auto slots = ModuleSampler(site, SampleOptions{}).sample(camera, picture.view());
        REQUIRE(slots.size() >= 10);
        for (const ModuleSlot& slot : slots) {
            REQUIRE(slot.cells.size() == 60);
            for (const CellSample& cell : slot.cells) {
                CHECK_THAT(static_cast<double>(cell.mean), WithinAbs(5000.0, 1e-3));
                CHECK_THAT(static_cast<double>(cell.spread), WithinAbs(0.0, 1e-3));
            }
        }
    }
}

TEST_CASE("sampling: a view's description", "[segment]") {
    const Layout layout = make_field(FieldOptions{});
    const LayoutIndex site(layout);
    const PosedCamera camera(small_lens(), over_the_field(0.0));
    const Image<float> picture = paint(layout, camera, PaintOptions{});
    SampleOptions options;
    options.minimum_cell_px = 5.5;
    options.minimum_elevation = degrees(68.0);
    options.maximum_smear_px = 1.0;
    options.highest_count = 6000.0;
    FrameCircumstances circumstances;
    circumstances.camera_motion_in_site = {0.04, 0.0, 0.0};  // 4 m/s for 10 ms
    const auto slots = ModuleSampler(site, options).sample(camera, picture.view(), circumstances);
    REQUIRE(!slots.empty());
    for (const ModuleSlot& slot : slots) {
        CHECK(slot.cell_short_px > 4.0);
        CHECK(slot.cell_short_px < 5.5);
        CHECK(slot.flags.has(Flag::too_few_pixels));
        CHECK_THAT(slot.smear_px, WithinAbs(0.04 / 0.03, 0.15));
        CHECK(slot.flags.has(Flag::smeared));
        CHECK_FALSE(slot.flags.has(Flag::clipped));
        CHECK(slot.flags.has(Flag::angle_too_shallow) == (in_degrees(slot.view_angle) > 22.0));
        const auto truth = camera.project(layout.modules[static_cast<std::size_t>(slot.module)].corners_in_site[2]);
        CHECK((slot.corners_px[2] - *truth).norm() < 1e-9);
        for (const auto& corner : slot.corners_px) {
            CHECK(inside_picture(camera.lens(), corner));
        }
    }
    options.highest_count = 5000.0;
    CHECK(ModuleSampler(site, options).sample(camera, picture.view()).front().flags.has(Flag::clipped));
}

TEST_CASE("sampling: a hot cell reads low by blur, and right when fitted", "[segment]") {
    FieldOptions field;
    field.modules_up = 2;
    const Layout layout = make_field(field);
    const LayoutIndex site(layout);
    constexpr int kHotCell = 27;
    constexpr double kExcess = 2000.0;
    for (const double sigma : {0.5, 0.8}) {
        for (const double yaw : {0.0, 15.0, 90.0}) {
            const PosedCamera camera(small_lens(), over_the_field(yaw));
            PaintOptions paint_options;
            paint_options.blur_sigma_px = sigma;
            paint_options.cell_excess = [](int, int cell) { return cell == kHotCell ? kExcess : 0.0; };
            const Image<float> picture = paint(layout, camera, paint_options);
            SampleOptions options;
            const auto plain = ModuleSampler(site, options).sample(camera, picture.view());
            options.spread = {{1.0, sigma}};
            const auto fitted = ModuleSampler(site, options).sample(camera, picture.view());
            REQUIRE(plain.size() == fitted.size());
            REQUIRE(plain.size() >= 8);
            double worst = 0.0;
            double worst_elsewhere = 0.0;
            double plain_excess = 0.0;
            for (std::size_t i = 0; i < plain.size(); ++i) {
                plain_excess +=
                    (static_cast<double>(plain[i].cells[kHotCell].mean) - 5000.0) / static_cast<double>(plain.size());
                for (std::size_t cell = 0; cell < 60; ++cell) {
                    const double off =
                        static_cast<double>(fitted[i].cells[cell].mean) - 5000.0 - (cell == kHotCell ? kExcess : 0.0);
                    double& bin = cell == kHotCell ? worst : worst_elsewhere;
                    bin = std::max(bin, std::abs(off));
                }
            }
            INFO("sigma " << sigma << ", yaw " << yaw << ": plain excess " << plain_excess << ", fitted off by at most "
                          << worst << ", elsewhere " << worst_elsewhere);
            CHECK(plain_excess < 0.96 * kExcess);
            CHECK(worst < 0.03 * kExcess);
            CHECK(worst_elsewhere < 0.03 * kExcess);
        }
    }
}

TEST_CASE("sampling: optics average light, and so does the fit", "[segment]") {
    FieldOptions field;
    field.modules_up = 2;
    const Layout layout = make_field(field);
    const LayoutIndex site(layout);
    constexpr int kHotCell = 27;
    constexpr double kSigma = 0.8;
    const PosedCamera camera(small_lens(), over_the_field(15.0));
    // Painted as light of 5000 and 9000; what a camera exports is its fourth root (Stefan and Boltzmann).
    const auto exported = [](double light) { return 1000.0 * std::pow(light, 0.25); };
    PaintOptions paint_options;
    paint_options.blur_sigma_px = kSigma;
    paint_options.cell_excess = [](int, int cell) { return cell == kHotCell ? 4000.0 : 0.0; };
    Image<float> painted = paint(layout, camera, paint_options);
    for (float& pixel : painted.pixels()) {
        pixel = static_cast<float>(exported(static_cast<double>(pixel)));
    }
    const Image<float>& picture = painted;
    SampleOptions options;
    options.spread = {{1.0, kSigma}};
    const auto excess = [&](const std::vector<ModuleSlot>& slots) {
        double sum = 0.0;
        for (const ModuleSlot& slot : slots) {
            sum += static_cast<double>(slot.cells[kHotCell].mean) - exported(5000.0);
        }
        return sum / static_cast<double>(slots.size()) / (exported(9000.0) - exported(5000.0));
    };
    const double by_counts = excess(ModuleSampler(site, options).sample(camera, picture.view()));
    std::vector<double> light;
    for (int i = 0; i <= 1000; ++i) {
        light.push_back(std::pow(0.005 * (i + 1000), 4.0));  // counts from 5000 by 5
    }
    options.light = LightScale(5000.0, 5.0, light);
    const double by_light = excess(ModuleSampler(site, options).sample(camera, picture.view()));
    INFO("of its difference a hot cell has " << by_counts << " by counts, " << by_light << " by light");
    CHECK_THAT(by_light, WithinAbs(1.0, 0.01));
    CHECK(by_counts > by_light + 0.015);
}

TEST_CASE("sampling: hottest means three by three pixels inside a cell", "[segment]") {
    const Layout layout = make_field(FieldOptions{});
    const LayoutIndex site(layout);
    const PosedCamera camera(small_lens(), over_the_field(0.0));
    PaintOptions paint_options;
    paint_options.blur_sigma_px = 0.3;
    paint_options.cell_excess = [](int, int cell) { return cell == 33 ? 1000.0 : 0.0; };
    const Image<float> picture = paint(layout, camera, paint_options);
    const auto slots = ModuleSampler(site, SampleOptions{}).sample(camera, picture.view());
    REQUIRE(!slots.empty());
    for (const ModuleSlot& slot : slots) {
        CHECK(slot.cells[33].hottest > slot.cells[33].mean - 1.0F);
        CHECK_THAT(static_cast<double>(slot.cells[33].hottest), WithinAbs(6000.0, 40.0));
        CHECK(slot.cells[33].pixels > 8.0F);
    }
    // Half cells of 2.6 px hold no 3 x 3 pixels.
    FieldOptions half;
    half.half_cut = true;
    const Layout half_layout = make_field(half);
    const LayoutIndex half_site(half_layout);
    const Image<float> half_picture = paint(half_layout, camera, PaintOptions{});
    const auto half_slots = ModuleSampler(half_site, SampleOptions{}).sample(camera, half_picture.view());
    REQUIRE(!half_slots.empty());
    CHECK(std::isnan(half_slots.front().cells[40].hottest));
}

TEST_CASE("sampling: pixels without data have no weight, and a cell of them no mean", "[segment]") {
    const Layout layout = make_field(FieldOptions{});
    const LayoutIndex site(layout);
    const PosedCamera camera(small_lens(), over_the_field(0.0));
    PaintOptions flat;
    flat.rim = flat.ground = flat.glass;
    Image<float> picture = paint(layout, camera, flat);
    SampleOptions options;
    options.nodata = 0.0;
    const auto before = ModuleSampler(site, options).sample(camera, std::as_const(picture).view());
    REQUIRE(!before.empty());
    const ModuleSlot& first = before.front();
    const auto low = first.corners_px[0].cwiseMin(first.corners_px[2]).eval();
    for (int y = static_cast<int>(low.y()); y < static_cast<int>(low.y()) + 30; ++y) {
        for (int x = static_cast<int>(low.x()); x < static_cast<int>(low.x()) + 15; ++x) {
            picture.view()(x, y) = 0.0F;
        }
    }
    const auto after = ModuleSampler(site, options).sample(camera, std::as_const(picture).view());
    const ModuleSlot* holed = slot_of(after, first.module);
    REQUIRE(holed != nullptr);
    CHECK(std::isnan(holed->cells[0].mean));
    CHECK(holed->cells[0].pixels == 0.0F);
    for (const CellSample& cell : holed->cells) {
        if (cell.pixels > 0.0F) {
            CHECK_THAT(static_cast<double>(cell.mean), WithinAbs(5000.0, 1e-3));
        }
    }
}

TEST_CASE("sampling: modules that are cut off or face away are left out", "[segment]") {
    const Layout layout = make_field(FieldOptions{});
    const LayoutIndex site(layout);
    const PosedCamera camera(small_lens(), looking_down(0.0, 0.5, 17.0));
    const Image<float> picture = paint(layout, camera, PaintOptions{});
    const auto slots = ModuleSampler(site, SampleOptions{}).sample(camera, picture.view());
    REQUIRE(!slots.empty());
    CHECK(slots.size() < layout.modules.size());
    for (const ModuleSlot& slot : slots) {
        for (const auto& corner : slot.corners_px) {
            CHECK(inside_picture(camera.lens(), corner));
        }
    }
    // From behind and low, looking south at tables that face south.
    FramePose behind;
    behind.position_in_site = {4.0, 12.0, 1.0};
    behind.yaw = degrees(180.0);
    behind.pitch = degrees(88.0);
    CHECK(ModuleSampler(site, SampleOptions{}).sample(PosedCamera(small_lens(), behind), picture.view()).empty());
}

TEST_CASE("sampling: a module that the border cuts gives the cells that are in the picture", "[segment]") {
    FieldOptions field;
    field.modules_up = 2;
    const Layout layout = make_field(field);
    const LayoutIndex site(layout);
    // Hot: one cell that is seen, and all of the columns on either side.
    constexpr int kHotCell = 27;  // r5c4
    PaintOptions paint_options;
    paint_options.cell_excess = [](int, int cell) {
        return cell == kHotCell ? 2000.0 : cell % 6 == 0 || cell % 6 == 5 ? 1500.0 : 0.0;
    };
    const PosedCamera camera(small_lens(), over_the_field(4.0));
    const Image<float> picture = paint(layout, camera, paint_options);
    SampleOptions options;
    options.spread = {{1.0, paint_options.blur_sigma_px}};
    const ModuleSampler sampler(site, options);
    const auto whole = sampler.sample(camera, picture.view());
    int cut = 0;
    int shows_hot_cell = 0;
    for (int module = 0; module < static_cast<int>(layout.modules.size()); ++module) {
        const auto part = sampler.sample_part(module, camera, picture.view());
        if (slot_of(whole, module) != nullptr) {
            CHECK_FALSE(part.has_value());
            continue;
        }
        if (!part) {
            continue;
        }
        ++cut;
        INFO("module " << module);
        CHECK(part->flags.has(Flag::seen_in_part));
        const ModuleType& type = layout.type_of(layout.modules[static_cast<std::size_t>(module)]);
        int seen = 0;
        for (int cell = 0; cell < 60; ++cell) {
            bool in_picture = true;
            for (const auto& corner : type.cell_corners(type.cell_at(cell))) {
                const auto& corners = layout.modules[static_cast<std::size_t>(module)].corners_in_site;
                const auto pixel =
                    camera.project(corners[0] + corner.x() / type.width.value() * (corners[1] - corners[0]) +
                                   corner.y() / type.height.value() * (corners[3] - corners[0]));
                in_picture = in_picture && pixel && inside_picture(camera.lens(), *pixel);
            }
            const CellSample& sample = part->cells[static_cast<std::size_t>(cell)];
            if (!in_picture) {
                CHECK(std::isnan(sample.mean));
                continue;
            }
            ++seen;
            shows_hot_cell += cell == kHotCell ? 1 : 0;
            const double excess = paint_options.cell_excess(module, cell);
            // What lies beyond the border is not known: blur brings in 5 % of it at most.
            CHECK_THAT(static_cast<double>(sample.mean), WithinAbs(5000.0 + excess, 90.0));
        }
        CHECK(seen > 0);
        CHECK(seen < 60);
    }
    CHECK(cut >= 2);
    CHECK(shows_hot_cell >= 1);
}
