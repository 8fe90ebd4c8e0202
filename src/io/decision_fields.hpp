// One row of decisions from the texts of its fields.
#pragma once

#include "heatrow/record/review_merge.hpp"

#include <string>
#include <string_view>

namespace heatrow::detail {

// Throws Error(input) with the row's place and the field.
[[noreturn]] void fail_decision(std::string_view where, std::string_view why, std::string_view remedy);

Verdict verdict_field(const std::string& place, const std::string& text);
WorkStatus work_field(const std::string& place, const std::string& text);
Pattern pattern_field(const std::string& place, const std::string& text);
// "2026-06-20T10:00:00Z", or with an offset. `utc`: the field is UTC by its name, so a zone may be left out.
UtcTime time_field(const std::string& place, const std::string& text, bool utc);

}  // namespace heatrow::detail
