#include "heatrow/record/review_statistics.hpp"

#include "heatrow/record/review_merge.hpp"
#include "support/sample_record.hpp"

#include <catch2/catch.hpp>

#include <cmath>
#include <map>

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

TEST_CASE("reinspection: repairs are verified only where the module was assessed without them", "[record]") {
    SurveyRecord earlier = testing::sample_record();
    const auto id_on = [&earlier](int module) {
        for (const Finding& finding : earlier.findings) {
            if (finding.module == module) {
                return finding.id;
            }
        }
        return std::string{};
    };
    const std::string gone = id_on(2);    // its module is assessed later without a finding
    const std::string same = id_on(9);    // found again
    const std::string other = id_on(15);  // another finding is there now
    const std::string not_assessed = id_on(20);
    const std::string ambiguous = id_on(18);
    const std::string untouched = id_on(4);
    Decision repaired;
    repaired.work = WorkStatus::repaired;
    std::vector<ReviewEntry> log;
    for (const std::string& id : {gone, same, other, not_assessed, ambiguous}) {
        REQUIRE_FALSE(id.empty());
        log.push_back({id, {}, "A", {}, repaired, "x", {}, {}});
    }
    Decision confirmed;
    confirmed.verdict = Verdict::confirmed;
    log.push_back({untouched, {}, "A", {}, confirmed, "x", {}, {}});
    SurveyRecord later = earlier;
    add_to_log(earlier, log);
    CHECK(work_log(earlier).size() == 5);
    std::erase_if(later.findings, [&](const Finding& finding) {
        return finding.id == gone || finding.id == not_assessed || finding.id == ambiguous;
    });
    for (Finding& finding : later.findings) {
        if (finding.id == other) {
            finding.id = "F-another";
            finding.abnormality = AbnormalityClass::thermal;
        }
    }
    later.modules[20].assessed = false;
    add_to_log(later, work_log(earlier));
    const Reinspection seen = reinspect(earlier, later, "B", UtcTime{}, "survey later");
    std::map<std::string, WorkStatus> status;
    for (const ReviewEntry& entry : seen.entries) {
        CHECK(entry.before.work == WorkStatus::repaired);
        status[entry.finding] = entry.after.work;
    }
    CHECK(status == std::map<std::string, WorkStatus>{{gone, WorkStatus::verified}, {same, WorkStatus::still_there}});
    CHECK(seen.undecided.size() == 3);
    add_to_log(later, seen.entries);
    CHECK(reinspect(earlier, later, "B", UtcTime{}, "again").entries.empty());
}
