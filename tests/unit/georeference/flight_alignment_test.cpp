#include "heatrow/georeference/flight_alignment.hpp"

#include "support/module_field.hpp"

#include <catch2/catch.hpp>

#include <chrono>
#include <cmath>
#include <random>

using namespace heatrow;
using namespace heatrow::test;
using Eigen::Vector3d;

namespace {

// Frames over places, painted once; logged poses are made for each bias.
class Flight {
  public:
    Flight(const Layout& layout, const Lens& lens, const std::vector<Vector3d>& places, PaintOptions paint_options) {
        for (const Vector3d& place : places) {
            FramePose truth = looking_down(place.x(), place.y(), place.z());
            truth.yaw = degrees(truths_.size() % 2 == 0 ? 1.0 : 181.0);
            truth.pitch = degrees(2.0);
            paint_options.seed = truths_.size() + 1;
            pictures_.push_back(paint(layout, PosedCamera(lens, truth), paint_options));
            truths_.push_back(truth);
        }
    }

    // Logged poses are off by minus the bias, minus a constant error of the heading, and scattered.
    FlightAlignment align(const LayoutIndex& site,
                          const Lens& lens,
                          const Vector3d& bias,
                          double scatter_m,
                          double heading_deg = 0.0) const {
        std::mt19937_64 engine(7);
        std::normal_distribution<double> normal;
        std::vector<FramePrior> priors(truths_.size());
        std::vector<ScoutFrame> frames;
        for (std::size_t i = 0; i < truths_.size(); ++i) {
            FramePose logged = truths_[i];
            logged.position_in_site += scatter_m * Vector3d(normal(engine), normal(engine), normal(engine)) - bias;
            logged.yaw += degrees(0.2 * normal(engine) - heading_deg);
            logged.pitch += degrees(0.1 * normal(engine));
            logged.roll += degrees(0.1 * normal(engine));
            priors[i].pose = logged;
            frames.push_back({&priors[i], pictures_[i].view()});
        }
        AlignmentOptions options;
        options.blur_sigma_px = PaintOptions{}.blur_sigma_px;
        return align_flight(site, lens, frames, options);
    }

  private:
    std::vector<FramePose> truths_;
    std::vector<Image<float>> pictures_;
};

const std::vector<Vector3d> kOverEnds{
    {2.0, 2.0, 18.0}, {5.0, 3.0, 18.2}, {8.0, 5.0, 17.9}, {2.0, 6.0, 18.0}, {5.0, 7.0, 18.0}, {8.0, 8.0, 18.1}};

}  // namespace

TEST_CASE("flight alignment: finds a planted bias", "[georeference]") {
    FieldOptions field;
    field.rows = 3;
    const Layout layout = make_field(field);
    const LayoutIndex site(layout);
    const Lens lens = small_lens();
    PaintOptions options;
    options.noise = 20.0;
    const Flight flight(layout, lens, kOverEnds, options);
    // One module pitch exactly, along and against the row; a diagonal metre; a large one; none.
    for (const Vector3d& bias : {Vector3d(1.012, 0.0, 0.0),
                                 Vector3d(-1.012, 0.0, 0.3),
                                 Vector3d(0.6, -0.8, -0.4),
                                 Vector3d(-1.9, 1.8, 0.2),
                                 Vector3d(0.0, 0.0, 0.0)}) {
        const FlightAlignment alignment = flight.align(site, lens, bias, 0.03);
        INFO("bias " << bias.transpose() << ", found " << alignment.position_correction_in_site.transpose()
                     << ", margin " << alignment.margin << ", locked " << alignment.frames_locked);
        CHECK((alignment.position_correction_in_site - bias).head<2>().norm() < 0.06);
        CHECK(std::abs(alignment.position_correction_in_site.z() - bias.z()) < 0.12);
        CHECK(alignment.margin > 3.0);
        CHECK(alignment.modules_warmer);
        CHECK(alignment.frames_used == 6);
    }
}

TEST_CASE("flight alignment: cold modules on warm ground serve as well", "[georeference]") {
    FieldOptions field;
    field.rows = 3;
    const Layout layout = make_field(field);
    const LayoutIndex site(layout);
    PaintOptions options;
    options.glass = 3900.0;
    options.ground = 4500.0;
    options.noise = 20.0;
    const Vector3d bias(0.9, 0.5, 0.0);
    const FlightAlignment alignment =
        Flight(layout, small_lens(), kOverEnds, options).align(site, small_lens(), bias, 0.03);
    CHECK((alignment.position_correction_in_site - bias).head<2>().norm() < 0.08);  // 0.061 m reached
    CHECK_FALSE(alignment.modules_warmer);
    CHECK(alignment.margin > 3.0);
}

TEST_CASE("flight alignment: heights tens of metres off, headings some degrees", "[georeference]") {
    FieldOptions field;
    field.rows = 3;
    field.tables_in_row = 2;
    field.table_gap_m = 0.8;
    const Layout layout = make_field(field);
    const LayoutIndex site(layout);
    PaintOptions options;
    options.noise = 20.0;
    const Flight flight(layout, small_lens(), kOverEnds, options);
    struct Case {
        Vector3d bias;
        double heading_deg;
    };
    for (const Case& c :
         {Case{{2.0, -1.5, -15.0}, 3.0}, Case{{-2.5, 1.0, -100.0}, -2.0}, Case{{0.5, 4.0, 8.0}, -4.0}}) {
        const FlightAlignment alignment = flight.align(site, small_lens(), c.bias, 0.03, c.heading_deg);
        INFO("bias " << c.bias.transpose() << ", found " << alignment.position_correction_in_site.transpose()
                     << ", heading " << in_degrees(Radians(alignment.attitude_correction[0])) << ", margin "
                     << alignment.margin << ", locked " << alignment.frames_locked);
        CHECK((alignment.position_correction_in_site - c.bias).head<2>().norm() < 0.08);
        CHECK(std::abs(alignment.position_correction_in_site.z() - c.bias.z()) < 0.12);
        CHECK(std::abs(in_degrees(Radians(alignment.attitude_correction[0])) - c.heading_deg) < 0.3);
        CHECK(alignment.margin > 3.0);
    }
}

TEST_CASE("flight alignment: ground as warm as the glass, the rims tell", "[georeference]") {
    FieldOptions field;
    field.rows = 3;
    const Layout layout = make_field(field);
    const LayoutIndex site(layout);
    PaintOptions options;
    options.ground = options.glass;
    options.noise = 20.0;
    const Vector3d bias(0.9, 0.5, -6.0);
    const FlightAlignment alignment =
        Flight(layout, small_lens(), kOverEnds, options).align(site, small_lens(), bias, 0.03, 2.0);
    INFO("found " << alignment.position_correction_in_site.transpose() << ", margin " << alignment.margin);
    CHECK((alignment.position_correction_in_site - bias).head<2>().norm() < 0.1);
    CHECK(std::abs(alignment.position_correction_in_site.z() - bias.z()) < 0.12);
    CHECK(alignment.margin > 3.0);
}

TEST_CASE("flight alignment: endless even rows leave a small margin", "[georeference]") {
    FieldOptions field;
    field.modules_along = 60;
    const Layout layout = make_field(field);
    const LayoutIndex site(layout);
    PaintOptions options;
    options.noise = 20.0;
    std::vector<Vector3d> places;
    for (int i = 0; i < 12; ++i) {
        places.emplace_back(22.0 + 1.3 * i, 3.0 + 0.2 * (i % 7), 18.0);
    }
    const Flight flight(layout, small_lens(), places, options);
    const FlightAlignment alignment = flight.align(site, small_lens(), {1.0, 0.0, 0.0}, 0.03);
    INFO("margin " << alignment.margin);
    CHECK(alignment.margin < 1.5);
}

TEST_CASE("flight alignment: frames without pose or modules do not vote", "[georeference]") {
    const Layout layout = make_field(FieldOptions{});
    const LayoutIndex site(layout);
    const Lens lens = small_lens();
    const Image<float> even(lens.width_px, lens.height_px, 4000.0F);
    FramePrior unposed;
    FramePrior elsewhere;
    elsewhere.pose = looking_down(900.0, 0.0, 18.0);
    const std::vector<ScoutFrame> frames{{&unposed, even.view()}, {&elsewhere, even.view()}};
    const FlightAlignment alignment = align_flight(site, lens, frames);
    CHECK(alignment.frames_used == 0);
    CHECK(alignment.margin == 0.0);
}

TEST_CASE("scout frames: ends of lanes and an even spread, within bounds", "[georeference]") {
    std::vector<FramePrior> priors;
    for (int lane = 0; lane < 20; ++lane) {
        for (int i = 0; i < 200; ++i) {
            FramePrior prior;
            prior.frame = static_cast<int>(priors.size());
            prior.pose = looking_down(lane % 2 == 0 ? i : 199 - i, 10.0 * lane, 20.0);
            priors.push_back(prior);
        }
    }
    priors[1].pose.reset();
    const std::vector<int> scouts = choose_scout_frames(priors);
    CHECK(scouts.size() == 79);  // 2 % of 3999
    CHECK(std::is_sorted(scouts.begin(), scouts.end()));
    CHECK(scouts.front() == 0);
    CHECK(std::count_if(scouts.begin(), scouts.end(), [](int i) { return i % 200 == 0 || i % 200 == 199; }) >= 39);
    CHECK(std::count(scouts.begin(), scouts.end(), 1) == 0);
    CHECK(choose_scout_frames(priors) == scouts);
    // Every tenth of the flight is looked at.
    for (int tenth = 0; tenth < 10; ++tenth) {
        CHECK(std::any_of(scouts.begin(), scouts.end(), [tenth](int i) { return i / 400 == tenth; }));
    }
    CHECK(choose_scout_frames(std::span(priors).first(10)).size() == 9);
    CHECK(choose_scout_frames({}).empty());
}

TEST_CASE("flight alignment: a lag of the positions, of a camera that does not turn with the flight",
          "[georeference]") {
    FieldOptions field;
    field.rows = 2;
    const Layout layout = make_field(field);
    const LayoutIndex site(layout);
    const Lens lens = small_lens();
    constexpr double kLag_s = 0.2;
    const Vector3d bias(0.4, -0.3, 0.1);
    std::vector<FramePose> truths;
    std::vector<FramePrior> priors;
    std::vector<Image<float>> pictures;
    std::mt19937_64 engine(11);
    std::normal_distribution<double> normal;
    for (int lane = 0; lane < 2; ++lane) {
        for (int i = 0; i < 6; ++i) {
            const double east = lane == 0 ? 1.0 + 1.6 * i : 9.0 - 1.6 * i;
            FramePose truth = looking_down(east, 3.0 + 3.0 * lane, 18.0);
            truth.yaw = degrees(1.0);  // to and fro alike
            PaintOptions options;
            options.noise = 20.0;
            options.seed = truths.size() + 1;
            pictures.push_back(paint(layout, PosedCamera(lens, truth), options));
            FramePrior prior;
            prior.time = UtcTime(std::chrono::milliseconds(60000 * lane + 500 * i));
            const Vector3d velocity(lane == 0 ? 3.2 : -3.2, 0.0, 0.0);
            FramePose logged = truth;
            logged.position_in_site +=
                0.03 * Vector3d(normal(engine), normal(engine), normal(engine)) - bias - kLag_s * velocity;
            prior.pose = logged;
            truths.push_back(truth);
            priors.push_back(prior);
        }
    }
    std::vector<ScoutFrame> frames;
    for (std::size_t i = 0; i < priors.size(); ++i) {
        frames.push_back({&priors[i], std::as_const(pictures[i]).view(), Vector3d::Zero(), {}, nullptr});
    }
    AlignmentOptions options;
    options.blur_sigma_px = PaintOptions{}.blur_sigma_px;
    options.ways = flight_ways(priors);
    const FlightAlignment alignment = align_flight(site, lens, frames, options);
    INFO("lag " << alignment.lag.seconds << " +- " << alignment.lag.u_s << ", turning "
                << alignment.turning_correction.transpose() << ", locked " << alignment.frames_locked);
    CHECK(alignment.lag.seconds == Approx(kLag_s).margin(0.06));
    CHECK(std::abs(alignment.lag.seconds - kLag_s) < 3.0 * alignment.lag.u_s);
    CHECK(alignment.lag.u_s < 0.08);
    CHECK(alignment.lag.speed_m_s == Approx(3.2).margin(0.15));
    for (std::size_t i = 0; i < priors.size(); ++i) {
        const Vector3d off = expected_pose(alignment, priors[i]).pose.position_in_site - truths[i].position_in_site;
        INFO("off by " << off.transpose());
        CHECK(off.head<2>().norm() < 0.15);
    }
}
