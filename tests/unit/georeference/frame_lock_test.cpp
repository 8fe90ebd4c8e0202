#include "heatrow/georeference/frame_lock.hpp"

#include "support/module_field.hpp"

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <numbers>

using namespace heatrow;
using namespace heatrow::test;
using Eigen::Vector2d;
using Eigen::Vector3d;

namespace {

// Largest distance between where two poses put the corners of modules that the first sees whole, px.
double worst_corner_px(const Layout& layout, const Lens& lens, const FramePose& truth, const FramePose& found) {
    const PosedCamera a(lens, truth);
    const PosedCamera b(lens, found);
    double worst = 0.0;
    for (const Module& module : layout.modules) {
        for (const Vector3d& corner : module.corners_in_site) {
            const auto in_a = a.project(corner);
            const auto in_b = b.project(corner);
            if (in_a && in_b && inside_picture(lens, *in_a)) {
                worst = std::max(worst, (*in_a - *in_b).norm());
            }
        }
    }
    return worst;
}

FramePrior prior_of(const FramePose& pose) {
    FramePrior prior;
    prior.name = "test";
    prior.pose = pose;
    return prior;
}

FramePose disturbed(FramePose pose, const Vector3d& by_m, double yaw_deg, double pitch_deg, double roll_deg) {
    pose.position_in_site += by_m;
    pose.yaw += degrees(yaw_deg);
    pose.pitch += degrees(pitch_deg);
    pose.roll += degrees(roll_deg);
    return pose;
}

FramePose over_the_field() {
    FramePose pose = looking_down(5.0, 4.0, 18.0);
    pose.yaw = degrees(3.0);
    pose.pitch = degrees(4.0);
    pose.roll = degrees(-2.0);
    return pose;
}

// What a first-order detector shows of a picture that moves by `trail_px` in a time constant, stamped when half of its
// answer has come: an edge has half its height where it is.
Image<float> trailing(const Image<float>& sharp, const Vector2d& trail_px) {
    constexpr int kLags = 48;
    Image<float> result(sharp.width(), sharp.height());
    for (int y = 0; y < sharp.height(); ++y) {
        for (int x = 0; x < sharp.width(); ++x) {
            double sum = 0.0;
            for (int i = 0; i < kLags; ++i) {
                const Vector2d from =
                    Vector2d(x, y) + trail_px * (-std::log(1.0 - (i + 0.5) / kLags) - std::numbers::ln2);
                const double u = std::clamp(from.x(), 0.0, sharp.width() - 1.001);
                const double v = std::clamp(from.y(), 0.0, sharp.height() - 1.001);
                const int left = static_cast<int>(u);
                const int top = static_cast<int>(v);
                const auto at = [&](int dx, int dy) { return static_cast<double>(sharp.view()(left + dx, top + dy)); };
                const double upper = at(0, 0) + (u - left) * (at(1, 0) - at(0, 0));
                const double lower = at(0, 1) + (u - left) * (at(1, 1) - at(0, 1));
                sum += upper + (v - top) * (lower - upper);
            }
            result.view()(x, y) = static_cast<float>(sum / kLags);
        }
    }
    return result;
}

}  // namespace

TEST_CASE("frame lock: a trail that no log tells is measured, and does not move the outlines", "[georeference]") {
    FieldOptions field;
    field.modules_up = 4;
    field.rows = 2;
    const Layout layout = make_field(field);
    const LayoutIndex site(layout);
    const Lens lens = small_lens();
    const FramePose truth = over_the_field();
    const PosedCamera camera(lens, truth);
    const Image<float> sharp = paint(layout, camera, PaintOptions{});
    LockOptions options;
    options.blur_sigma_px = PaintOptions{}.blur_sigma_px;
    options.measures_motion = true;
    const auto still = lock_frame(site, lens, prior_of(truth), FlightAlignment{}, sharp.view(), options);
    REQUIRE(still);
    CHECK_FALSE(still->measured_motion_in_site);
    for (const Vector2d& trail_px : {Vector2d(3.5, 0.0), Vector2d(-3.5, 0.0), Vector2d(2.5, -3.0)}) {
        const Image<float> picture = trailing(sharp, trail_px);
        const auto locked = lock_frame(site, lens, prior_of(truth), FlightAlignment{}, picture.view(), options);
        REQUIRE(locked);
        REQUIRE(locked->measured_motion_in_site);
        const Vector3d& middle = site.centre_in_site(static_cast<int>(layout.modules.size()) / 2);
        const Vector2d measured_px =
            *camera.project(middle - *locked->measured_motion_in_site) - *camera.project(middle);
        INFO("trail " << trail_px.transpose() << ", measured " << measured_px.transpose() << ", worst corner "
                      << worst_corner_px(layout, lens, truth, locked->pose));
        CHECK((measured_px - trail_px).norm() < 0.6);
        CHECK(worst_corner_px(layout, lens, truth, locked->pose) < 0.5);
        options.measures_motion = false;
        const auto pulled = lock_frame(site, lens, prior_of(truth), FlightAlignment{}, picture.view(), options);
        CHECK((!pulled || worst_corner_px(layout, lens, truth, pulled->pose) > 0.8));
        options.measures_motion = true;
    }
}

TEST_CASE("frame lock: recovers the pose to a tenth of a pixel at every corner", "[georeference]") {
    FieldOptions field;
    field.modules_up = 2;
    field.rows = 3;
    const Layout layout = make_field(field);
    const LayoutIndex site(layout);
    Lens lens = small_lens();
    lens.k1 = -0.2;
    const FramePose truth = over_the_field();
    const Image<float> picture = paint(layout, PosedCamera(lens, truth), PaintOptions{});
    struct Case {
        Vector3d by_m;
        double yaw, pitch, roll;
    };
    for (const Case& c : {Case{{0.0, 0.0, 0.0}, 0.0, 0.0, 0.0},
                          Case{{0.15, -0.1, 0.2}, 0.2, 0.1, -0.15},
                          Case{{-0.25, 0.2, -0.15}, -0.3, 0.2, 0.1}}) {
        const auto locked = lock_frame(
            site, lens, prior_of(disturbed(truth, c.by_m, c.yaw, c.pitch, c.roll)), FlightAlignment{}, picture.view());
        REQUIRE(locked);
        const double worst = worst_corner_px(layout, lens, truth, locked->pose);
        INFO("worst corner " << worst << " px, rms " << locked->rms_px << ", edges " << locked->edges_used << ", found "
                             << locked->share_found << ", slip margin " << locked->slip_margin);
        CHECK(worst < 0.1);
        CHECK(locked->share_found > 0.9);
        CHECK(locked->slip_margin > 3.0);
    }
}

TEST_CASE("frame lock: with noise, and the stated covariance covers the error", "[georeference]") {
    FieldOptions field;
    field.modules_up = 2;
    const Layout layout = make_field(field);
    const LayoutIndex site(layout);
    const Lens lens = small_lens();
    const FramePose truth = over_the_field();
    PaintOptions paint_options;
    paint_options.noise = 60.0;
    const Image<float> picture = paint(layout, PosedCamera(lens, truth), paint_options);
    const auto locked = lock_frame(
        site, lens, prior_of(disturbed(truth, {0.1, 0.1, -0.1}, 0.2, 0.1, 0.2)), FlightAlignment{}, picture.view());
    REQUIRE(locked);
    CHECK(worst_corner_px(layout, lens, truth, locked->pose) < 0.2);
    const Vector3d off = locked->pose.position_in_site - truth.position_in_site;
    for (int axis = 0; axis < 3; ++axis) {
        CHECK(std::abs(off[axis]) < 4.0 * std::sqrt(locked->covariance(axis, axis)));
    }
}

TEST_CASE("frame lock: a row's end in view keeps it from slipping by a module", "[georeference]") {
    const Layout layout = make_field(FieldOptions{});
    const LayoutIndex site(layout);
    const Lens lens = small_lens();
    FramePose truth = looking_down(3.0, 4.0, 17.5);  // the west end of the rows is in the picture
    truth.yaw = degrees(3.0);  // sides along the pixel grid would show the painter's sample points
    const Image<float> picture = paint(layout, PosedCamera(lens, truth), PaintOptions{});
    LockOptions options;
    options.position_sd = Metres(0.5);
    options.blur_sigma_px = PaintOptions{}.blur_sigma_px;
    // Nearer to the place one module along than to the true one.
    const auto locked = lock_frame(site,
                                   lens,
                                   prior_of(disturbed(truth, {0.6, 0.0, 0.0}, 0.0, 0.0, 0.0)),
                                   FlightAlignment{},
                                   picture.view(),
                                   options);
    REQUIRE(locked);
    CHECK(worst_corner_px(layout, lens, truth, locked->pose) < 0.2);
    CHECK(locked->slip_margin > 3.0);
}

TEST_CASE("frame lock: in the middle of even rows a slip is admitted", "[georeference]") {
    FieldOptions field;
    field.modules_along = 60;
    const Layout layout = make_field(field);
    const LayoutIndex site(layout);
    const Lens lens = small_lens();
    const FramePose truth = looking_down(30.0, 4.0, 17.5);
    const Image<float> picture = paint(layout, PosedCamera(lens, truth), PaintOptions{});
    LockOptions options;
    options.position_sd = Metres(0.5);
    options.blur_sigma_px = PaintOptions{}.blur_sigma_px;
    const auto locked = lock_frame(site,
                                   lens,
                                   prior_of(disturbed(truth, {0.45, 0.0, 0.0}, 0.0, 0.0, 0.0)),
                                   FlightAlignment{},
                                   picture.view(),
                                   options);
    REQUIRE(locked);
    CHECK(locked->slip_margin < 1.5);
}

TEST_CASE("frame lock: refuses what it cannot place, with the figures", "[georeference]") {
    const Layout layout = make_field(FieldOptions{});
    const LayoutIndex site(layout);
    const Lens lens = small_lens();
    const FramePose truth = looking_down(4.0, 4.0, 17.5);

    const Image<float> even(lens.width_px, lens.height_px, 4000.0F);
    const auto blind = lock_frame(site, lens, prior_of(truth), FlightAlignment{}, even.view());
    REQUIRE_FALSE(blind);
    CHECK(blind.error().reason == RejectReason::not_locked);
    CHECK_THAT(blind.error().detail, Catch::Matchers::Contains("edges found"));

    const auto elsewhere =
        lock_frame(site, lens, prior_of(looking_down(500.0, 4.0, 17.5)), FlightAlignment{}, even.view());
    REQUIRE_FALSE(elsewhere);
    CHECK(elsewhere.error().reason == RejectReason::sees_nothing);

    FramePrior unposed;
    const auto no_pose = lock_frame(site, lens, unposed, FlightAlignment{}, even.view());
    REQUIRE_FALSE(no_pose);
    CHECK(no_pose.error().reason == RejectReason::no_pose);

    PaintOptions noise_only;
    noise_only.glass = noise_only.rim = noise_only.ground = 4000.0;
    noise_only.noise = 50.0;
    const Image<float> noisy = paint(layout, PosedCamera(lens, truth), noise_only);
    CHECK_FALSE(lock_frame(site, lens, prior_of(truth), FlightAlignment{}, noisy.view()));
}
