#include "heatrow/record/review_statistics.hpp"

#include "heatrow/record/review_merge.hpp"
#include "support/sample_record.hpp"

#include <catch2/catch.hpp>

#include <cmath>

using namespace heatrow;
using Catch::Matchers::WithinAbs;

TEST_CASE("review statistics: Wilson's interval", "[record]") {
    // Newcombe, Stat. Med. 17 (1998) 857-872, table I, method 3: 81/263 gives 0.2553 to 0.3662, 15/148 gives 0.0624 to
    // 0.1605, 0/20 gives 0 to 0.1611, 1/29 gives 0.0061 to 0.1718 (from memory).
    const Share large = wilson_share(81, 263);
    CHECK_THAT(large.low, WithinAbs(0.2553, 5e-5));
    CHECK_THAT(large.high, WithinAbs(0.3662, 5e-5));
    CHECK_THAT(wilson_share(15, 148).low, WithinAbs(0.0624, 5e-5));
    CHECK_THAT(wilson_share(0, 20).high, WithinAbs(0.1611, 5e-5));
    CHECK_THAT(wilson_share(1, 29).high, WithinAbs(0.1718, 5e-5));
    CHECK(wilson_share(0, 20).low == 0.0);
    CHECK(std::isnan(wilson_share(0, 0).value));
}

TEST_CASE("review statistics: what was decided, pattern by pattern", "[record]") {
    SurveyRecord record = testing::sample_record();
    const std::string first = record.findings[0].id;
    add_to_log(record,
               {{first, {}, "A", {}, {Verdict::confirmed, {}, ""}, "x"},
                {first, {}, "B", {}, {Verdict::confirmed, Pattern::shading, ""}, "x"}});
    CHECK(first_breach(record).empty());
    const Agreement agreement = agreement_of(record);
    CHECK(agreement.all.findings == 8);
    CHECK(agreement.all.relabelled == 1);
    CHECK(agreement.all.open == 7);
    CHECK(agreement.all.agreement.value == 0.0);
    CHECK(agreement.all.agreement.count == 1);
}
