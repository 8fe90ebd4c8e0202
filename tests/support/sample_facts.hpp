// What an invented run knows beside its record.
#pragma once

#include "heatrow/io/manifest.hpp"

namespace heatrow::testing {

inline RunFacts sample_facts() {
    RunFacts facts;
    facts.program_version = "0.1.0";
    facts.command = "analyse";
    facts.profile.id = "field-practice";
    facts.profile.version = "1";
    facts.profile.title = "An invented profile for tests";
    facts.profile.minimum_irradiance_w_m2 = {600.0,
                                             "IEC TS 62446-3, minimum irradiance (not checked against the text)"};
    facts.profile.maximum_wind_m_s = {8.0, "common practice, no source"};
    facts.profile.maximum_irradiance_change_per_minute = {0.1, "common practice, no source"};
    facts.profile.settling_time_min = {15.0, "common practice, no source"};
    const auto rule = [&facts](Pattern pattern, double second_k, double third_k, double exponent) {
        facts.profile.rules[static_cast<std::size_t>(pattern)] = PatternRule{
            KelvinDelta(second_k), KelvinDelta(third_k), exponent, exponent, exponent, "an invented rule for tests"};
    };
    rule(Pattern::hot_cell, 10.0, 30.0, 1.0);
    rule(Pattern::substring_bypassed, 3.0, kNaN, 1.0);
    rule(Pattern::cell_interconnect, 10.0, 30.0, 2.0);
    facts.inputs = {{"settings", "survey.toml", 812, std::string(64, 'a')}};
    facts.settings = {{"temperature.scale", "0.01"}, {"temperature.offset", "-273.15"}};
    Clock clock;
    clock.scale = Clock::FixedOffset{std::chrono::minutes(120)};
    facts.clocks = {{"thermal", clock}};
    return facts;
}

}  // namespace heatrow::testing
