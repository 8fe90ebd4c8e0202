// What electrical readings make of a string that is warm as a whole.
#include "heatrow/score/score.hpp"
#include "support/simulated_site.hpp"

#include <catch2/catch.hpp>

#include <algorithm>

using namespace heatrow;
using namespace heatrow::test;
using Catch::Matchers::Contains;

namespace {

constexpr int kWarm = 12;
constexpr double kLoadedV = 620.0;
constexpr double kOpenV = 745.0;

const StringLoad kLoaded{{0.97, 0.05}, 7.0, kLoadedV};
StringLoad without_current(double voltage_v) {
    return {{0.002, 0.013}, 0.02, voltage_v};
}

// A site with one string 5 K warmer, a hot cell in it, and what was read of each string.
struct Site {
    Layout layout = make_site({5, 5, 20, 1, false});
    std::vector<ModuleInput> modules;
    std::vector<StringLoad> loads;

    explicit Site(double rise_k = 5.0)
        : modules(simulate(layout,
                           {{Pattern::string_warm_cause_open, -1, kWarm, 1, 0, rise_k},
                            {Pattern::hot_cell, layout.strings[kWarm].modules[3], -1, 1, 17, 25.0}},
                           {})),
          loads(layout.strings.size(), kLoaded) {}

    void set(int string, const StringLoad& load) { loads[static_cast<std::size_t>(string)] = load; }

    ScoreResult score() {
        for (ModuleInput& module : modules) {
            const int string = layout.modules[static_cast<std::size_t>(module.fused.module)].string;
            module.conditions.load_fraction = loads[static_cast<std::size_t>(string)].fraction;
        }
        static const Profile profile = shipped_profile(HEATROW_FIELD_PRACTICE);
        return heatrow::score({layout, modules, profile, kNaN, loads});
    }
};

const Finding& only_finding(const ScoreResult& result) {
    REQUIRE(result.findings.size() == 1);
    return result.findings.front();
}

bool says(const ScoreResult& result, const std::string& words) {
    return std::any_of(result.notes.begin(), result.notes.end(), [&](const std::string& note) {
        return note.find(words) != std::string::npos;
    });
}

}  // namespace

TEST_CASE("string cause: no current at the voltage of the others is an open string, with a class", "[score]") {
    Site site;
    site.set(kWarm, without_current(kLoadedV));
    const auto result = site.score();
    const Finding& finding = only_finding(result);
    CHECK(finding.pattern == Pattern::string_open_circuit);
    CHECK(finding.pattern_second == Pattern::string_off);
    CHECK(finding.abnormality == AbnormalityClass::thermal);
    CHECK_FALSE(finding.flags.has(Flag::load_unknown));
    CHECK(finding.loss_w_high > 0.0);
    CHECK_THAT(finding.evidence, Contains("0.02 A at 620 V") && Contains("agrees") && Contains("24 other strings"));
    for (const int module : site.layout.strings[kWarm].modules) {
        CHECK(result.modules[static_cast<std::size_t>(module)].assessed_reason == "low_load");
    }
}

TEST_CASE("string cause: no current at open-circuit voltage is a string that is off, without class or loss",
          "[score]") {
    Site site;
    site.set(kWarm, without_current(kOpenV));
    const auto result = site.score();
    const Finding& finding = only_finding(result);
    CHECK(finding.pattern == Pattern::string_off);
    CHECK(finding.pattern_second == Pattern::string_open_circuit);
    CHECK(finding.abnormality == AbnormalityClass::none);
    CHECK(finding.class_probability == 1.0);
    CHECK(std::isnan(finding.loss_w_high));
    CHECK(result.strings[kWarm].abnormality == AbnormalityClass::none);
    CHECK_THAT(finding.evidence, Contains("1.20 times theirs") && Contains("no defect"));
}

TEST_CASE("string cause: without a voltage open and off are equally likely", "[score]") {
    Site site;
    site.set(kWarm, without_current(kNaN));
    const auto result = site.score();
    const Finding& finding = only_finding(result);
    CHECK(finding.pattern == Pattern::string_open_circuit);
    CHECK(finding.pattern_probability <= 0.5);
    CHECK_THAT(finding.evidence, Contains("look at its switch first"));
}

TEST_CASE("string cause: what is half as likely off, which has no class, halves the class's probability", "[score]") {
    Site site;
    site.set(kWarm, without_current(kNaN));
    const Finding finding = only_finding(site.score());
    CHECK(finding.pattern == Pattern::string_open_circuit);
    CHECK(finding.pattern_second == Pattern::string_off);
    CHECK(finding.abnormality == AbnormalityClass::thermal);
    CHECK(finding.pattern_probability == Approx(0.5).margin(0.02));
    CHECK(finding.class_probability == Approx(finding.pattern_probability).margin(0.02));
}

TEST_CASE("string cause: no string read carries current, so the plant was off", "[score]") {
    Site site;
    std::fill(site.loads.begin(), site.loads.end(), StringLoad{});
    site.set(kWarm, without_current(kOpenV));
    site.set(kWarm + 1, without_current(kOpenV));
    const auto result = site.score();
    CHECK(only_finding(result).pattern == Pattern::string_off);
    CHECK(says(result, "carried no current and could not be compared"));
}

TEST_CASE("string cause: a loaded string that is warm is a contradiction, said as one", "[score]") {
    Site site;
    const auto result = site.score();
    const Finding& finding = only_finding(result);
    CHECK(finding.pattern == Pattern::string_warm_cause_open);
    CHECK_THAT(finding.evidence, Contains("Contradiction") && Contains("97 % ± 10 %"));
}

TEST_CASE("string cause: less than its share is neither open nor off", "[score]") {
    Site site;
    site.set(kWarm, {{0.2, 0.03}, 1.5, kLoadedV});
    const auto result = site.score();
    const Finding& finding = only_finding(result);
    CHECK(finding.pattern == Pattern::string_warm_cause_open);
    CHECK_THAT(finding.evidence, Contains("less than its share"));
}

TEST_CASE("string cause: a string without current that is not warm contradicts its reading", "[score]") {
    Site site(0.0);
    site.set(kWarm, without_current(kNaN));
    const auto result = site.score();
    CHECK(result.findings.empty());  // its hot cell is not to be assessed without load
    CHECK(says(result, "is not seen warmer than they are"));
    CHECK(result.strings[kWarm].modules_assessed == 0);
}

TEST_CASE("string cause: a warm string read as loaded beside one read as without current may be swapped", "[score]") {
    Site site;
    site.set(kWarm + 1, without_current(kNaN));
    CHECK(says(site.score(), "may be swapped in log or layout"));
    Site alike;  // nothing is warm: one reading alone is wrong
    alike.set(kWarm, without_current(kNaN));
    CHECK_FALSE(says(alike.score(), "may be swapped"));
}

TEST_CASE("string cause: a finding in a loaded string says the load", "[score]") {
    Site site(0.0);
    const auto result = site.score();
    const Finding& finding = only_finding(result);
    CHECK(finding.pattern == Pattern::hot_cell);
    CHECK_FALSE(finding.flags.has(Flag::load_unknown));
    CHECK_THAT(finding.evidence, Contains("its string carried 97 % ± 10 % of the expected current."));
}

TEST_CASE("string cause: all strings of a combiner warm at once share what is off", "[score]") {
    Site site;
    site.modules = simulate(site.layout,
                            {{Pattern::string_warm_cause_open, -1, kWarm, 1, 0, 5.0},
                             {Pattern::string_warm_cause_open, -1, kWarm + 1, 1, 0, 5.0}},
                            {});
    site.loads.clear();  // nothing was read
    site.layout.strings[kWarm].home = {"C7", "I2", ""};
    site.layout.strings[kWarm + 1].home = {"C7", "I2", ""};
    const auto unread = [&] {
        static const Profile profile = shipped_profile(HEATROW_FIELD_PRACTICE);
        return heatrow::score({site.layout, site.modules, profile});
    };
    const ScoreResult together = unread();
    REQUIRE(together.findings.size() == 2);
    for (const Finding& finding : together.findings) {
        CHECK(finding.pattern == Pattern::string_warm_cause_open);
        CHECK(finding.pattern_second == Pattern::string_off);
        CHECK_THAT(finding.evidence, Contains("all 2 strings of combiner C7 of inverter I2"));
    }
    CHECK(says(together, "All 2 strings of combiner C7 of inverter I2"));

    site.layout.strings[kWarm + 2].home = {"C7", "I2", ""};  // a third one that works
    const ScoreResult apart = unread();
    CHECK_FALSE(says(apart, "combiner C7"));
    CHECK(apart.findings.front().pattern_second == Pattern::open_circuit_module);
}

TEST_CASE("string cause: of nested groups that are idle the widest is named", "[score]") {
    Site site;
    for (const int string : {kWarm, kWarm + 1, kWarm + 2}) {
        site.set(string, without_current(kNaN));
        site.layout.strings[static_cast<std::size_t>(string)].home = {string == kWarm + 2 ? "C8" : "C7", "I2", ""};
    }
    const ScoreResult result = site.score();
    CHECK(says(result, "All 3 strings of inverter I2"));
    CHECK_FALSE(says(result, "of combiner C7"));
    const Finding& finding = only_finding(result);
    CHECK(finding.pattern == Pattern::string_off);
    CHECK_THAT(finding.evidence, Contains("none of the 3 strings of inverter I2"));
}

TEST_CASE("string cause: less current than its siblings is said, and whether something seen agrees", "[score]") {
    Site site(0.0);
    for (const int string : {kWarm, kWarm + 1, kWarm + 2, kWarm + 3}) {
        site.layout.strings[static_cast<std::size_t>(string)].home = {"C7", "", ""};
    }
    CHECK_FALSE(says(site.score(), "siblings"));
    site.set(kWarm, {{0.62, 0.03}, 4.5, kLoadedV});  // it bears the hot cell
    CHECK(says(site.score(), "carried 64 % ± 8 % of what its 3 siblings did"));
    CHECK(says(site.score(), "agrees with 1 finding"));
    site.set(kWarm, kLoaded);
    site.set(kWarm + 1, {{0.62, 0.03}, 4.5, kLoadedV});
    CHECK(says(site.score(), "nothing seen on it explains that"));
    site.layout.strings[kWarm + 3].home = {};  // two siblings make no median
    CHECK_FALSE(says(site.score(), "siblings"));
}
