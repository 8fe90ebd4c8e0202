#include "decision_fields.hpp"

#include "heatrow/core/error.hpp"
#include "heatrow/core/nearest_word.hpp"

#include <fmt/format.h>

#include <vector>

namespace heatrow::detail {
namespace {

[[noreturn]] void fail_word(const std::string& place,
                            std::string_view field,
                            const std::string& text,
                            const std::vector<std::string>& known) {
    const auto nearest = nearest_word(text, known);
    fail_decision(
        fmt::format("{}, field {}", place, field),
        fmt::format("\"{}\" is not known", text),
        nearest ? fmt::format("Did you mean \"{}\"?", *nearest) : fmt::format("Known are {}", fmt::join(known, ", ")));
}

}  // namespace

void fail_decision(std::string_view where, std::string_view why, std::string_view remedy) {
    throw Error(ErrorKind::input, "cannot read the decisions", where, why, remedy);
}

Verdict verdict_field(const std::string& place, const std::string& text) {
    if (const auto verdict = parse_verdict(text)) {
        return *verdict;
    }
    fail_word(place, "verdict", text, {"open", "confirmed", "rejected"});
}

WorkStatus work_field(const std::string& place, const std::string& text) {
    if (const auto status = parse_work_status(text)) {
        return *status;
    }
    std::vector<std::string> known;
    for (int i = 0; i < kWorkStatusCount; ++i) {
        known.emplace_back(to_string(static_cast<WorkStatus>(i)));
    }
    fail_word(place, "work_status", text, known);
}

Pattern pattern_field(const std::string& place, const std::string& text) {
    if (const auto pattern = parse_pattern(text)) {
        return *pattern;
    }
    std::vector<std::string> known;
    for (int i = 0; i < kPatternCount; ++i) {
        known.emplace_back(to_string(static_cast<Pattern>(i)));
    }
    fail_word(place, "pattern", text, known);
}

UtcTime time_field(const std::string& place, const std::string& text, bool utc) {
    const auto parsed = parse_iso8601(text);
    if (!parsed || (!parsed->utc_offset && !utc)) {
        fail_decision(
            place + ", field reviewed_utc", "\"" + text + "\" is no time in UTC", "Write it like 2026-06-20T10:00:00Z");
    }
    return UtcTime(parsed->written.time_since_epoch()) - parsed->utc_offset.value_or(std::chrono::minutes(0));
}

}  // namespace heatrow::detail
