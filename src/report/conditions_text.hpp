// Sentences that drawings and pages share.
#pragma once

#include "heatrow/report/report_model.hpp"

#include <string>
#include <string_view>

namespace heatrow {

inline constexpr std::string_view kCaution =
    "PV arrays are live whenever there is light. Never open a connector under load. Work only by qualified and "
    "licensed "
    "people, under local codes.";

// "24 modules, 22 assessed, 2 not assessed, 3 findings".
std::string string_count_text(const ReportModel& model, const StringView& string);
// "8 frames, 2026-06-17 11:02:00 to 11:02:14 UTC · irradiance 842 to 850 W/m² · wind 1.9 m/s · air 23.4 °C · load
// unknown".
std::string conditions_text(const ConditionsSummary& conditions);
// "S1-M3 (position 3) · hot cell r4c4 · +36.8 ± 1.6 K at 1000 W/m² · class 3, safety-relevant".
std::string finding_headline(const SurveyRecord& record, const Finding& finding);
// Evidence, probabilities, temperatures, candidates, flags.
std::string finding_detail(const SurveyRecord& record, const Finding& finding);

// The finding's picture in visible light; null where there is none.
const VisiblePicture* visible_picture_of(const SurveyRecord& record, int finding);
// "IR_0003.jpg, 0.1 s after IR_0003.tif; outline by the layout, which fits the edges of this picture".
std::string visible_picture_text(const SurveyRecord& record, const VisiblePicture& picture);

// Of a finding that a reviewer gave another pattern: "hot cell, class 3, +36.8 ± 1.6 K at 1000 W/m²".
std::string as_found_words(const AsFound& found);

// "2 findings rejected by the reviewer are listed, but not counted here."; empty without one.
std::string rejected_text(const SurveyRecord& record);

// "inside in all 9 frames", "outside in 2 of 9 frames", "not recorded".
std::string limit_outcome_text(const LimitResult& limit, std::size_t frames);
// "842 to 850 W/m²", one value where both ends read the same, "unknown".
std::string range_text(const ValueRange& range, int decimals, std::string_view unit);
// "2026-06-17 11:02:00".
std::string date_time_text(UtcTime time);

}  // namespace heatrow
