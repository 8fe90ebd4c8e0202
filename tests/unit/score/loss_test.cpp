#include "heatrow/score/loss.hpp"

#include "heatrow/io/module_type_reader.hpp"
#include "heatrow/score/iv_curve.hpp"
#include "heatrow/score/one_diode.hpp"
#include "heatrow/score/string_power.hpp"
#include "support/simulated_site.hpp"

#include <catch2/catch.hpp>

using namespace heatrow;
using heatrow::test::shipped_profile;

namespace {

const Uncertain<KelvinDelta> kFullRise{KelvinDelta(30.0), 0.2};  // more than lost export alone could give

LossCircumstances rated() {
    LossCircumstances circumstances;
    circumstances.modules_in_string = 20;
    circumstances.heat_loss_w_m2k = 25.0;
    return circumstances;
}

ModuleType type_named(const std::string& id) {
    return read_module_type(std::string(HEATROW_MODULE_TYPES) + "/" + id + ".toml");
}

double share(double watts, const ModuleType& type) {
    return watts / type.rated_power_w;
}

}  // namespace

TEST_CASE("one diode: voltage and current are inverse to each other", "[score]") {
    const OneDiode cell{9.3, 1e-9, 0.028, 0.005, 8.0};
    for (const double current : {0.0, 4.0, 9.0, 9.29, 9.5, 12.0}) {
        CHECK(cell.current(cell.voltage(current)) == Approx(current).margin(1e-8));
    }
    CHECK(cell.voltage(12.0) < -10.0);  // beyond its light it takes power, as much as the shunt leaks
    const OneDiode tight{9.3, 1e-9, 0.028, 0.005};
    CHECK(tight.voltage(9.4) == -std::numeric_limits<double>::infinity());
}

TEST_CASE("one diode: temperature moves voltage and current by their shares", "[score]") {
    const auto rated_curve = diode_of({9.3, 38.0, 8.76, 31.4});
    REQUIRE(rated_curve);
    const auto hot = diode_at(*rated_curve, WattsPerSquareMetre(500.0), Celsius(65.0), {0.0005, 0.003});
    CHECK(hot.light_a == Approx(9.3 * 0.5 * 1.02));
    const auto full = diode_at(*rated_curve, WattsPerSquareMetre(1000.0), Celsius(65.0), {0.0005, 0.003});
    CHECK(full.voltage(0.0) == Approx(38.0 * (1.0 - 0.12)));
    CHECK_FALSE(diode_of({8.0, 38.0, 8.76, 31.4}));  // more current at maximum power than in short circuit
    CHECK_FALSE(diode_of({9.3, 70.0, 8.76, 31.4}));
}

TEST_CASE("curves: branches add currents, parts add voltages, the diode bounds both", "[score]") {
    const std::vector<double> currents{0.0, 1.0, 2.0, 3.0};
    const IvCurve branch{currents, {4.0, 3.0, 0.0, -9.0}};
    const IvCurve pair = in_parallel({branch, branch}, 0.5, currents);
    CHECK(pair.voltage(2.0) == Approx(3.0).margin(0.02));
    CHECK(pair.voltage(3.0) == Approx(1.5).margin(0.02));
    const IvCurve alone = in_parallel({branch}, 0.5, currents);
    CHECK(alone.voltage(3.0) == Approx(-0.5));
    CHECK(in_series({alone, pair}).voltage(1.0) == Approx(3.0 + pair.voltage(1.0)));
    CHECK(in_parallel({}, 0.5, currents).voltage(1.5) == Approx(-0.5));
    CHECK(branch.current(3.5) == Approx(0.5));
    CHECK(branch.current(5.0) == 0.0);
    CHECK(branch.current(-20.0) == 3.0);
}

TEST_CASE("string: tracked and held points of a string with a weak module", "[score]") {
    // Modules that hold 10 V up to 5 A and then fall straight to 0 V at 6 A.
    const IvCurve healthy{{0.0, 5.0, 6.0}, {10.0, 10.0, 0.0}};
    const IvCurve none{{0.0, 5.0, 6.0}, {0.0, 0.0, 0.0}};
    const auto points = string_points(healthy, none, 4, kNaN);
    REQUIRE(points.size() == 2);
    CHECK(points[0].loss_w == Approx(50.0).margin(1.0));
    CHECK(points[1].loss_w > points[0].loss_w);  // three modules cannot hold the voltage of four
    const auto curtailed = string_points(healthy, none, 4, 0.5);
    REQUIRE(curtailed.size() == 1);
    CHECK(curtailed[0].loss_w == Approx(25.0).margin(0.5));
}

TEST_CASE("loss: a full-cell substring costs its third, and more where other strings hold the voltage", "[score]") {
    const Profile profile = shipped_profile(HEATROW_FIELD_PRACTICE);
    const ModuleType type = type_named("generic-60-full");
    CHECK(healthy_module_w(type, profile, rated()) == Approx(type.rated_power_w).epsilon(0.01));
    const auto open =
        loss_of_substrings(type, profile, rated(), {2}, Pattern::substring_open_circuit, kFullRise);
    CHECK(share(open.low_w, type) == Approx(0.35).margin(0.02));
    CHECK(share(open.high_w, type) < 0.5);
    const auto shorted =
        loss_of_substrings(type, profile, rated(), {2}, Pattern::substring_short_circuited, kFullRise);
    CHECK(share(shorted.low_w, type) == Approx(1.0 / 3.0).margin(0.01));
    const auto whole =
        loss_of_substrings(type, profile, rated(), {1, 2, 3}, Pattern::open_circuit_module, kFullRise);
    CHECK(share(whole.low_w, type) == Approx(1.0).margin(0.02));
}

TEST_CASE("loss: half of a half-cut substring open costs the full third under load, a sixth of it at half load",
          "[score]") {
    const Profile profile = shipped_profile(HEATROW_FIELD_PRACTICE);
    const ModuleType type = type_named("generic-120-half-cut");
    auto circumstances = rated();
    const auto full =
        loss_of_substrings(type, profile, circumstances, {1}, Pattern::substring_open_circuit, kFullRise);
    CHECK(share(full.low_w, type) > 0.33);
    circumstances.load = 0.45;
    const auto curtailed =
        loss_of_substrings(type, profile, circumstances, {1}, Pattern::substring_open_circuit, kFullRise);
    CHECK(share(curtailed.low_w, type) < 0.02);   // the twin half carries all of it
    CHECK(share(curtailed.high_w, type) > 0.14);  // unless both halves are open
}

TEST_CASE("loss: what the heat does not surely show is no sure loss", "[score]") {
    const Profile profile = shipped_profile(HEATROW_FIELD_PRACTICE);
    const ModuleType type = type_named("generic-60-full");
    const auto unsure = loss_of_substrings(
        type, profile, rated(), {2}, Pattern::substring_bypassed, {KelvinDelta(2.0), 1.5});
    CHECK(unsure.low_w == 0.0);
    CHECK(unsure.high_w > 80.0);
    auto unknown = rated();
    unknown.heat_loss_w_m2k = kNaN;
    CHECK(loss_of_substrings(type, profile, unknown, {2}, Pattern::substring_bypassed, kFullRise).low_w == 0.0);
}

TEST_CASE("loss: a hot cell costs about the heat that it shows, its substring at most", "[score]") {
    const Profile profile = shipped_profile(HEATROW_FIELD_PRACTICE);
    const ModuleType type = type_named("generic-60-full");
    const double cell_m2 = 0.952 / 6.0 * 0.16;
    for (const double rise : {5.0, 10.0, 20.0, 40.0}) {
        const auto range = loss_of_cell(type, profile, rated(), {4, 2}, {KelvinDelta(rise), 0.3});
        INFO(rise);
        CHECK(range.low_w <= 1.001 * (rise - 0.58) * 25.0 * cell_m2);
        CHECK(range.high_w >= std::min((rise + 0.58) * 25.0 * cell_m2 * 1.5, 90.0));
        CHECK(range.high_w <= 0.5 * type.rated_power_w);
    }
    const ModuleType half_cut = type_named("generic-120-half-cut");
    const auto twin = loss_of_cell(half_cut, profile, rated(), {4, 2}, {KelvinDelta(20.0), 0.3});
    CHECK(twin.low_w > 0.0);
    CHECK(twin.high_w < 0.5 * half_cut.rated_power_w);
    // A cell a few kelvin too warm costs no more than a few watts or what a small lack of light makes the string give up.
    const auto warm = loss_of_cell(type, profile, rated(), {4, 2}, {KelvinDelta(3.0), 0.3});
    CHECK(warm.low_w < 3.0);
    auto unknown = rated();
    unknown.heat_loss_w_m2k = kNaN;
    const auto open_range = loss_of_cell(type, profile, unknown, {4, 2}, {KelvinDelta(20.0), 0.3});
    CHECK(open_range.low_w == 0.0);
    CHECK(share(open_range.high_w, type) == Approx(1.0 / 3.0).margin(0.01));
}

TEST_CASE("heat loss: the balance of an exporting module", "[score]") {
    const ModuleType type = type_named("generic-60-full");
    const double efficiency = 0.275 / (0.992 * 1.65);
    CHECK(heat_loss_w_m2k(type, WattsPerSquareMetre(800.0), KelvinDelta(20.0), 0.9) ==
          Approx((0.9 - efficiency) * 40.0));
    CHECK_FALSE(std::isfinite(heat_loss_w_m2k(type, WattsPerSquareMetre(800.0), KelvinDelta(-1.0), 0.9)));
}
