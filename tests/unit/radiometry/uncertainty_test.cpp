#include "heatrow/radiometry/uncertainty.hpp"

#include <catch2/catch.hpp>

#include <cmath>
#include <random>

using namespace heatrow;
using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;

namespace {

const BandRadiance& band() {
    static const BandRadiance table(Band{7.5, 14.0});
    return table;
}

MeasuredArea hot_cell() {
    MeasuredArea area;
    area.conditions = {0.85, Celsius(-20.0), 0.98, Celsius(25.0)};
    area.apparent = apparent_of_object(Celsius(72.0), area.conditions, band());
    area.surroundings = apparent_of_object(Celsius(50.0), area.conditions, band());
    area.pixels = 12.0;
    area.spread = KelvinDelta(0.4);
    area.independent_samples = 6.0;
    return area;
}

MeasuredArea reference_cell() {
    MeasuredArea area = hot_cell();
    area.apparent = apparent_of_object(Celsius(50.0), area.conditions, band());
    area.spread = KelvinDelta(0.2);
    return area;
}

UncertaintyCauses all_causes() {
    UncertaintyCauses causes;
    causes.noise = KelvinDelta(0.05);
    causes.quantisation_step = KelvinDelta(0.04);
    causes.non_uniformity = KelvinDelta(0.10);
    causes.camera_offset = KelvinDelta(1.0);
    causes.camera_gain = 0.01;
    causes.emissivity = 0.02;
    causes.emissivity_spread = 0.005;
    causes.reflected = KelvinDelta(5.0);
    causes.reflected_spread = KelvinDelta(1.0);
    causes.transmittance = 0.005;
    causes.air = KelvinDelta(2.0);
    causes.size_of_source = 0.01;
    return causes;
}

// Draws what the causes describe and solves the measurement equation anew each time: a route without slopes.
struct Simulation {
    std::mt19937_64 engine{20260704};
    std::normal_distribution<double> normal{0.0, 1.0};
    double draw(double u) { return u * normal(engine); }

    // errors common to the frame
    struct Common {
        double offset, gain, emissivity, reflected, transmittance, air, size_of_source;
    };
    Common draw_common(const UncertaintyCauses& c) {
        return {draw(c.camera_offset.value()),
                draw(c.camera_gain),
                draw(c.emissivity),
                draw(c.reflected.value()),
                draw(c.transmittance),
                draw(c.air.value()),
                draw(c.size_of_source)};
    }
    double solve(const MeasuredArea& area, const UncertaintyCauses& c, const Common& common) {
        const double apparent = area.apparent.value();
        double error = common.offset + common.gain * (area.apparent - c.gain_pivot).value();
        error += draw(c.noise.value() / std::sqrt(area.pixels));
        std::uniform_real_distribution<double> rounding(-0.5 * c.quantisation_step.value(),
                                                        0.5 * c.quantisation_step.value());
        if (c.noise.value() < 0.5 * c.quantisation_step.value()) {
            error += rounding(engine);  // all pixels round alike
        } else {
            double rounded = 0.0;
            for (int i = 0; i < static_cast<int>(area.pixels); ++i) {
                rounded += rounding(engine);
            }
            error += rounded / area.pixels;
        }
        error += draw(c.non_uniformity.value());
        error += draw(area.spread.value() / std::sqrt(area.independent_samples));
        error += common.size_of_source * (area.apparent - area.surroundings).value();
        ObjectConditions assumed = area.conditions;
        assumed.emissivity += common.emissivity + draw(c.emissivity_spread);
        assumed.reflected = assumed.reflected + KelvinDelta(common.reflected + draw(c.reflected_spread.value()));
        assumed.transmittance += common.transmittance;
        assumed.air = assumed.air + KelvinDelta(common.air);
        return object_of_apparent(Celsius(apparent + error), assumed, band()).value();
    }
};

double deviation(const std::vector<double>& values) {
    double mean = 0.0;
    for (const double v : values) {
        mean += v;
    }
    mean /= static_cast<double>(values.size());
    double sum = 0.0;
    for (const double v : values) {
        sum += (v - mean) * (v - mean);
    }
    return std::sqrt(sum / static_cast<double>(values.size() - 1));
}

struct Spreads {
    double temperature;
    double difference;
};
Spreads simulate(const UncertaintyCauses& causes) {
    constexpr int kDraws = 20000;  // standard error of a standard deviation 0.5 %
    Simulation simulation;
    std::vector<double> temperatures;
    std::vector<double> differences;
    for (int i = 0; i < kDraws; ++i) {
        const auto common = simulation.draw_common(causes);
        const double hot = simulation.solve(hot_cell(), causes, common);
        const double reference = simulation.solve(reference_cell(), causes, common);
        temperatures.push_back(hot);
        differences.push_back(hot - reference);
    }
    return {deviation(temperatures), deviation(differences)};
}

UncertaintyCauses only(double UncertaintyCauses::*cause) {
    UncertaintyCauses causes;
    causes.*cause = all_causes().*cause;
    return causes;
}
UncertaintyCauses only(KelvinDelta UncertaintyCauses::*cause) {
    UncertaintyCauses causes;
    causes.*cause = all_causes().*cause;
    return causes;
}

void check_against_simulation(const UncertaintyCauses& causes) {
    const Spreads simulated = simulate(causes);
    CHECK_THAT(temperature_with_budget(hot_cell(), causes, band()).budget.combined_k(),
               WithinRel(simulated.temperature, 0.05));
    CHECK_THAT(difference_with_budget(hot_cell(), reference_cell(), causes, band()).budget.combined_k(),
               WithinRel(simulated.difference, 0.05));
}

}  // namespace

TEST_CASE("uncertainty: all causes together agree with Monte Carlo within 5 percent", "[radiometry]") {
    check_against_simulation(all_causes());
}

TEST_CASE("uncertainty: each cause alone agrees with Monte Carlo within 5 percent", "[radiometry]") {
    SECTION("noise") {
        check_against_simulation(only(&UncertaintyCauses::noise));
    }
    SECTION("quantisation") {
        check_against_simulation(only(&UncertaintyCauses::quantisation_step));
    }
    SECTION("non-uniformity") {
        check_against_simulation(only(&UncertaintyCauses::non_uniformity));
    }
    SECTION("offset") {
        check_against_simulation(only(&UncertaintyCauses::camera_offset));
    }
    SECTION("gain") {
        check_against_simulation(only(&UncertaintyCauses::camera_gain));
    }
    SECTION("emissivity") {
        check_against_simulation(only(&UncertaintyCauses::emissivity));
    }
    SECTION("emissivity spread") {
        check_against_simulation(only(&UncertaintyCauses::emissivity_spread));
    }
    SECTION("reflected") {
        check_against_simulation(only(&UncertaintyCauses::reflected));
    }
    SECTION("reflected spread") {
        check_against_simulation(only(&UncertaintyCauses::reflected_spread));
    }
    SECTION("transmittance") {
        check_against_simulation(only(&UncertaintyCauses::transmittance));
    }
    SECTION("air") {
        check_against_simulation(only(&UncertaintyCauses::air));
    }
    SECTION("size of source") {
        check_against_simulation(only(&UncertaintyCauses::size_of_source));
    }
}

TEST_CASE("uncertainty: the camera's offset cancels in a difference of blackbodies", "[radiometry]") {
    UncertaintyCauses causes;
    causes.camera_offset = KelvinDelta(2.0);
    MeasuredArea hot;
    hot.apparent = Celsius(70.0);
    MeasuredArea cold;
    cold.apparent = Celsius(40.0);
    CHECK_THAT(temperature_with_budget(hot, causes, band()).budget.combined_k(), WithinAbs(2.0, 1e-9));
    CHECK_THAT(difference_with_budget(hot, cold, causes, band()).budget.combined_k(), WithinAbs(0.0, 1e-9));
    // behind glass the slopes differ a little, and what is left over is counted
    const double left = difference_with_budget(hot_cell(), reference_cell(), causes, band())
                            .budget.term_k(UncertaintyTerm::camera_offset);
    CHECK(left > 0.0);
    CHECK(left < 0.2);
}

TEST_CASE("uncertainty: gain, emissivity, size of source do not cancel", "[radiometry]") {
    const UncertaintyBudget budget = difference_with_budget(hot_cell(), reference_cell(), all_causes(), band()).budget;
    CHECK(budget.term_k(UncertaintyTerm::camera_gain) > 0.1);
    CHECK(budget.term_k(UncertaintyTerm::emissivity) > 0.1);
    CHECK(budget.term_k(UncertaintyTerm::size_of_source) > 0.1);
    CHECK(budget.term_k(UncertaintyTerm::non_uniformity) > 0.1 * std::sqrt(2.0));
}

TEST_CASE("uncertainty: an area against itself differs by nothing, with independent terms left", "[radiometry]") {
    const auto same = difference_with_budget(hot_cell(), hot_cell(), all_causes(), band());
    CHECK(same.value.value() == 0.0);
    CHECK(same.budget.term_k(UncertaintyTerm::camera_gain) == 0.0);
    CHECK(same.budget.term_k(UncertaintyTerm::camera_offset) == 0.0);
    CHECK(same.budget.term_k(UncertaintyTerm::air_path) == 0.0);
    CHECK(same.budget.term_k(UncertaintyTerm::noise) > 0.0);
}

TEST_CASE("uncertainty: without causes there is none, without an answer it is NaN", "[radiometry]") {
    CHECK(temperature_with_budget(hot_cell(), {}, band()).budget.term_k(UncertaintyTerm::emissivity) == 0.0);
    MeasuredArea impossible = hot_cell();
    impossible.conditions.emissivity = 0.05;
    impossible.conditions.reflected = Celsius(90.0);
    const auto result = temperature_with_budget(impossible, all_causes(), band());
    CHECK_FALSE(result.value.is_known());
    CHECK(std::isnan(result.budget.combined_k()));
}

TEST_CASE("uncertainty: an emissivity of one with an unknown reflection is not silently certain", "[radiometry]") {
    MeasuredArea area;
    area.apparent = Celsius(40.0);
    UncertaintyCauses causes;
    causes.emissivity = 0.02;
    CHECK(std::isnan(temperature_with_budget(area, causes, band()).budget.combined_k()));
    area.conditions.reflected = Celsius(-10.0);
    CHECK(temperature_with_budget(area, causes, band()).budget.combined_k() > 0.3);
}

TEST_CASE("uncertainty: terms have names", "[radiometry]") {
    for (std::size_t i = 0; i < kUncertaintyTermCount; ++i) {
        CHECK_FALSE(to_string(static_cast<UncertaintyTerm>(i)).empty());
    }
}
