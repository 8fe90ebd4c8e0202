// The names that --difference knows: areas, their hottest and coldest spots, values from outside, the reflection.
#pragma once

#include "measure_report.hpp"

#include <tl/expected.hpp>

#include <optional>
#include <string>
#include <string_view>
#include <utility>

namespace heatrow::cli {

inline constexpr std::string_view kReflectedName = "reflected";

// "NAME", "NAME:hottest", "NAME:coldest" of an area, the name of an outside value, or "reflected" where one is stated.
std::optional<DifferenceOperand> find_operand(const MeasureReport& report, std::string_view name);

// "A-B", both known. Names may hold a minus: the first split that gives two of them counts.
std::optional<std::pair<DifferenceOperand, DifferenceOperand>> split_difference(const MeasureReport& report,
                                                                                std::string_view text);

// "NAME=degC" or "NAME=degC,u" with a standard uncertainty in K. The error is a sentence.
tl::expected<OutsideValue, std::string> parse_outside_value(std::string_view text, bool is_probe);

// "NAME=NUMBER"; nothing where it is not.
std::optional<std::pair<std::string, double>> parse_named_number(std::string_view text);

}  // namespace heatrow::cli
