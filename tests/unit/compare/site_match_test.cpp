// Which module is which over surveys.
#include "heatrow/compare/site_match.hpp"

#include "heatrow/io/comparison_profile_reader.hpp"
#include "support/check_error.hpp"
#include "support/sample_record.hpp"

#include <catch2/catch.hpp>

namespace {

using namespace heatrow;
using heatrow::testing::message_of;
using heatrow::testing::sample_record;

SurveyRecord site() {
    return sample_record({.strings = 4, .hostile_ids = false});
}

SiteMatch matched(const SurveyRecord& before, const SurveyRecord& now) {
    const std::vector<const SurveyRecord*> surveys{&before, &now};
    return match_site(surveys, {"before", "now"}, read_comparison_profile(HEATROW_SEASON_CHANGES));
}

void shift(SurveyRecord& record, std::size_t module, const Eigen::Vector3d& by) {
    for (Eigen::Vector3d& corner : record.layout.modules[module].corners_in_site) {
        corner += by;
    }
}

}  // namespace

TEST_CASE("compare: ids go before places, and a plan may lie off as a whole") {
    const SurveyRecord before = site();
    SurveyRecord now = site();
    for (std::size_t m = 0; m < now.layout.modules.size(); ++m) {
        shift(now, m, {3.1, -2.4, 0.0});
    }
    const SiteMatch match = matched(before, now);
    CHECK(match.modules.size() == now.layout.modules.size());
    CHECK(match.shift_m.back().isApprox(Eigen::Vector2d(3.1, -2.4), 1e-6));
    for (const SiteModule& module : match.modules) {
        CHECK(module.index[0] == module.index[1]);
        CHECK(module.identity[1] == Identity::same);
    }
    CHECK(match.strings.size() == 4);
}

TEST_CASE("compare: a new name at the old place is the same module; other types and places are not compared") {
    const SurveyRecord before = site();
    SurveyRecord now = site();
    now.layout.modules[2].id = "North-3";
    shift(now, 5, {0.0, -1.5, 0.0});
    now.layout.modules[7].type = 1 - now.layout.modules[7].type;
    const SiteMatch match = matched(before, now);
    CHECK(match.modules.size() == now.layout.modules.size());
    CHECK(match.modules[2].index[0] == 2);
    CHECK(match.modules[2].identity[1] == Identity::same);
    CHECK(match.modules[5].identity[1] == Identity::moved);
    CHECK(match.modules[7].identity[1] == Identity::other_type);
}

TEST_CASE("compare: surveys of two sites and another numbering are refused") {
    const SurveyRecord before = site();
    SurveyRecord elsewhere = site();
    elsewhere.layout.origin.latitude_deg += 0.01;
    for (Module& module : elsewhere.layout.modules) {
        module.id = "X" + module.id;
    }
    CHECK_THAT(message_of([&] { (void)matched(before, elsewhere); }),
               Catch::Contains("input: ") && Catch::Contains("before and now") && Catch::Contains("0 of 49") &&
                   Catch::Contains("one site"));
    SurveyRecord renumbered = site();
    for (std::size_t m = 0; m < 24; ++m) {
        std::swap(renumbered.layout.modules[m].id, renumbered.layout.modules[47 - m].id);
    }
    CHECK_THAT(message_of([&] { (void)matched(before, renumbered); }), Catch::Contains("numbering"));
}
