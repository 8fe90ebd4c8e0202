#include "measure_operands.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>

namespace heatrow::cli {
namespace {

std::optional<double> number_of(std::string_view text) {
    double value = 0.0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error != std::errc{} || end != text.data() + text.size() || !std::isfinite(value)) {
        return std::nullopt;
    }
    return value;
}

const AreaResult* find_area(const MeasureReport& report, std::string_view name) {
    const auto found = std::find_if(
        report.areas.begin(), report.areas.end(), [name](const AreaResult& area) { return area.area.name == name; });
    return found == report.areas.end() ? nullptr : &*found;
}

}  // namespace

std::optional<DifferenceOperand> find_operand(const MeasureReport& report, std::string_view name) {
    if (const AreaResult* area = find_area(report, name)) {
        return DifferenceOperand{std::string(name), area->measured, area->flags};
    }
    for (const OutsideValue& value : report.values) {
        if (value.name == name) {
            return DifferenceOperand{std::string(name), value.value, {}};
        }
    }
    const Celsius reflected = report.settings.conditions.reflected;
    if (name == kReflectedName && reflected.is_known()) {
        return DifferenceOperand{std::string(name), ReflectedTemperature{reflected}, {}};
    }
    const std::size_t colon = name.rfind(':');
    if (colon == std::string_view::npos) {
        return std::nullopt;
    }
    const AreaResult* area = find_area(report, name.substr(0, colon));
    const std::string_view spot = name.substr(colon + 1);
    if (area == nullptr || area->too_small || (spot != "hottest" && spot != "coldest")) {
        return std::nullopt;
    }
    return DifferenceOperand{
        std::string(name), spot == "hottest" ? area->measured_hottest : area->measured_coldest, area->flags};
}

std::optional<std::pair<DifferenceOperand, DifferenceOperand>> split_difference(const MeasureReport& report,
                                                                                std::string_view text) {
    for (std::size_t at = text.find('-'); at != std::string_view::npos; at = text.find('-', at + 1)) {
        auto from = find_operand(report, text.substr(0, at));
        auto to = find_operand(report, text.substr(at + 1));
        if (from && to) {
            return std::pair{std::move(*from), std::move(*to)};
        }
    }
    return std::nullopt;
}

std::optional<std::pair<std::string, double>> parse_named_number(std::string_view text) {
    const std::size_t equals = text.rfind('=');
    if (equals == std::string_view::npos || equals == 0) {
        return std::nullopt;
    }
    const auto value = number_of(text.substr(equals + 1));
    return value ? std::optional(std::pair{std::string(text.substr(0, equals)), *value}) : std::nullopt;
}

tl::expected<OutsideValue, std::string> parse_outside_value(std::string_view text, bool is_probe) {
    const std::size_t equals = text.find('=');
    const std::size_t comma = text.find(',', equals == std::string_view::npos ? 0 : equals);
    const auto named = parse_named_number(text.substr(0, comma));
    const auto u = comma == std::string_view::npos ? std::optional(kNaN) : number_of(text.substr(comma + 1));
    constexpr double kAbsoluteZero = -kZeroCelsiusInKelvin;
    if (!named || !u || *u <= 0.0 || named->second <= kAbsoluteZero) {
        return tl::make_unexpected(fmt::format(
            "'{}': write NAME=degC or NAME=degC,u with a standard uncertainty above zero in K, e.g. lug=71.5,0.8",
            text));
    }
    return OutsideValue{named->first, is_probe, {Celsius(named->second), *u}};
}

}  // namespace heatrow::cli
