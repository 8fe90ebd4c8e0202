// One finding for the page: numbers to sort by, and every text that is shown.
#pragma once

#include "heatrow/report/report_model.hpp"

#include <string>
#include <string_view>
#include <vector>

namespace heatrow {

// Thermal pictures go into the page until this many bytes are used; later ones are shown from the files beside it.
inline constexpr std::size_t kPictureBudget = std::size_t{4} << 20U;

// JSON objects, one a finding, in the record's order.
std::vector<std::string> page_findings_json(const ReportModel& model);

// "2026-06-20 10:00:00 UTC, A. Reviewer: open, then rejected; pattern shading; ...".
std::string review_words(const ReviewEntry& entry);

}  // namespace heatrow
