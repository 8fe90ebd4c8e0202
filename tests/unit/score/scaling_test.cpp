#include "heatrow/score/scaling.hpp"

#include "heatrow/score/score.hpp"
#include "support/simulated_site.hpp"

#include <catch2/catch.hpp>

using namespace heatrow;

namespace {

PatternRule rule() {
    PatternRule rule;
    rule.class_2_from = KelvinDelta(10.0);
    rule.class_3_from = KelvinDelta(40.0);
    rule.exponent = 1.0;
    rule.exponent_low = 0.8;
    rule.exponent_high = 1.2;
    return rule;
}

}  // namespace

TEST_CASE("scaling: uncertainty joins difference, irradiance and exponent", "[score]") {
    const Uncertain<WattsPerSquareMetre> g{WattsPerSquareMetre(800.0), 20.0};
    const auto scaled = scale_to_1000({KelvinDelta(10.0), 0.5}, g, rule());
    CHECK(scaled.value.value() == Approx(12.5));
    const double from_g = 12.5 * 20.0 / 800.0;
    const double from_exponent = 12.5 * std::log(1.25) * 0.4 / std::sqrt(12.0);
    CHECK(scaled.u == Approx(combine_independent(0.625, from_g, from_exponent)));
    CHECK_FALSE(scale_to_1000({KelvinDelta(10.0), 0.5}, {WattsPerSquareMetre(0.0), 1.0}, rule()).is_known());
    CHECK_FALSE(scale_to_1000({KelvinDelta(kNaN), 0.5}, g, rule()).is_known());
}

TEST_CASE("scaling: class probability is the share of the distribution inside the class", "[score]") {
    const auto at = [](double value, double u) { return classify({KelvinDelta(value), u}, rule()); };
    CHECK(at(10.0, 1.0).abnormality == AbnormalityClass::thermal);
    CHECK(at(10.0, 1.0).probability == Approx(0.5));
    CHECK(at(9.0, 1.0).abnormality == AbnormalityClass::none);
    CHECK(at(9.0, 1.0).probability == Approx(0.8413447));
    CHECK(at(42.0, 2.0).abnormality == AbnormalityClass::safety_relevant);
    CHECK(at(42.0, 2.0).probability == Approx(0.8413447));
    CHECK(at(25.0, 0.0).probability == 1.0);
    const auto of = [](AbnormalityClass abnormality) {
        return class_probability(abnormality, {KelvinDelta(9.0), 1.0}, rule());
    };
    CHECK(of(AbnormalityClass::thermal) == Approx(0.1586553));
    CHECK(of(AbnormalityClass::none) + of(AbnormalityClass::thermal) + of(AbnormalityClass::safety_relevant) ==
          Approx(1.0));
    PatternRule open = rule();
    open.class_3_from = KelvinDelta(kNaN);
    CHECK(classify({KelvinDelta(80.0), 1.0}, open).abnormality == AbnormalityClass::thermal);
    CHECK(classify({KelvinDelta(80.0), 1.0}, open).probability == Approx(1.0));
}

TEST_CASE("scaling: no rise by lost export without a sensible efficiency", "[score]") {
    CHECK_FALSE(lost_export_rise(KelvinDelta(30.0), 0.0, 0.9).is_known());
    CHECK_FALSE(lost_export_rise(KelvinDelta(30.0), 0.9, 0.9).is_known());
}

TEST_CASE("mean_conditions: averages what is known and joins flags", "[score]") {
    std::vector<FrameConditions> all(3);
    all[0].irradiance = {WattsPerSquareMetre(800.0), 20.0};
    all[1].irradiance = {WattsPerSquareMetre(900.0), 30.0};
    all[1].flags.set(Flag::irradiance_unsteady);
    all[2].wind = {MetresPerSecond(3.0), 0.3};
    const auto mean = mean_conditions(all);
    CHECK(mean.irradiance.value.value() == Approx(850.0));
    CHECK(mean.irradiance.u == Approx(25.0));
    CHECK(mean.wind.value.value() == Approx(3.0));
    CHECK_FALSE(mean.load_fraction.is_known());
    CHECK(mean.flags.has(Flag::irradiance_unsteady));
    CHECK_FALSE(mean_conditions({}).irradiance.is_known());
}

TEST_CASE("profile: the shipped one has no problem, and every value a source", "[score]") {
    const auto profile = test::shipped_profile(HEATROW_FIELD_PRACTICE);
    CHECK(first_problem(profile).empty());
    CHECK(profile.minimum_irradiance_w_m2.value == 600.0);
    CHECK(profile.maximum_wind_m_s.value == Approx(28.0 / 3.6).margin(0.005));  // 4 Beaufort
    for (const auto& key : profile_keys()) {
        INFO(std::string(key.name));
        CHECK_FALSE((profile.*key.member).source.empty());
    }
    for (const auto& each : profile.rules) {
        CHECK((!each || !each->source.empty()));
    }
}

TEST_CASE("profile: problems are named", "[score]") {
    const auto problem = [](auto change) {
        auto profile = test::shipped_profile(HEATROW_FIELD_PRACTICE);
        change(profile);
        return first_problem(profile);
    };
    CHECK(problem([](Profile& p) { p.string_warm_share.value = 1.1; }) == "string_warm_share is a share and above 1");
    CHECK(problem([](Profile& p) { p.candidate_sigma.value = 0.0; }) == "candidate_sigma must be above 0");
    CHECK(problem([](Profile& p) { p.maximum_wind_m_s.value = kNaN; }) == "maximum_wind_m_s is negative or no number");
    CHECK(problem([](Profile& p) { p.patchwork_spread_ratio.value = 1.0; }) ==
          "patchwork_spread_ratio must be above 1");
    CHECK(problem([](Profile& p) { p.open_voltage_ratio.value = 1.0; }) == "open_voltage_ratio must be above 1");
    CHECK(problem([](Profile& p) { p.no_current_load_fraction.value = 0.4; }) ==
          "no_current_load_fraction lies above minimum_load_fraction");
    const auto hot = static_cast<std::size_t>(Pattern::hot_cell);
    CHECK(problem([&](Profile& p) { p.rules[hot]->class_3_from = KelvinDelta(5.0); }) ==
          "the rule of hot_cell: class_3_from lies below class_2_from");
    CHECK(problem([&](Profile& p) { p.rules[hot]->exponent_low = 1.05; }) ==
          "the rule of hot_cell: exponent lies outside exponent_low to exponent_high");
}
