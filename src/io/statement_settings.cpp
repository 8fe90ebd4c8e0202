#include "statement_settings.hpp"

#include "heatrow/core/time.hpp"

#include <fmt/format.h>

#include <array>
#include <utility>

namespace heatrow {
namespace {

using detail::TomlSection;

// What an [[instrument]] may measure, as the file and as the reader says it.
constexpr std::array<std::pair<std::string_view, std::string_view>, 6> kQuantities = {{
    {"irradiance", "irradiance"},
    {"wind", "wind"},
    {"air_temperature", "air temperature"},
    {"humidity", "humidity"},
    {"current", "current and voltage"},
    {"contact_temperature", "contact temperature"},
}};

PersonStatement read_person(const TomlSection& survey, std::string_view role) {
    const auto section = survey.optional_section(role, {"name", "qualification", "employer"});
    if (!section) {
        return {};
    }
    return {section->optional_text("name").value_or(""),
            section->optional_text("qualification").value_or(""),
            section->optional_text("employer").value_or("")};
}

std::string read_date(const TomlSection& section, std::string_view key) {
    const std::string text = section.optional_text(key).value_or("");
    constexpr std::size_t kDateLength = 10;  // 2026-03-04
    if (!text.empty() && (text.size() != kDateLength || !parse_iso8601(text + "T00:00:00"))) {
        section.fail(key, fmt::format("\"{}\" is no date", text), "Write year, month and day as \"2026-03-04\"");
    }
    return text;
}

}  // namespace

std::vector<std::string_view> survey_keys() {
    return {"id",
            "title",
            "profile",
            "client",
            "plant",
            "address",
            "capacity",
            "purpose",
            "procedure",
            "inspector",
            "analyst",
            "reviewer"};
}

std::vector<std::string_view> instrument_keys() {
    return {"maker", "model", "serial", "lens", "calibrated", "certificate"};
}

SurveyStatement read_survey_statement(const TomlSection& survey) {
    SurveyStatement stated;
    const auto text = [&survey](std::string_view key) { return survey.optional_text(key).value_or(""); };
    stated.client = text("client");
    stated.plant = text("plant");
    stated.address = text("address");
    stated.capacity = text("capacity");
    stated.purpose = text("purpose");
    stated.procedure = text("procedure");
    stated.inspector = read_person(survey, "inspector");
    stated.analyst = read_person(survey, "analyst");
    stated.reviewer = read_person(survey, "reviewer");
    return stated;
}

InstrumentStatement read_instrument(const TomlSection& section, std::string measures) {
    const auto text = [&section](std::string_view key) { return section.optional_text(key).value_or(""); };
    return {std::move(measures),
            text("maker"),
            text("model"),
            text("serial"),
            text("lens"),
            read_date(section, "calibrated"),
            text("certificate")};
}

std::vector<InstrumentStatement> read_instruments(const TomlSection& root) {
    std::vector<std::string_view> keys = instrument_keys();
    keys.emplace_back("measures");
    std::vector<InstrumentStatement> instruments;
    for (const TomlSection& section : root.sections("instrument", keys)) {
        static_cast<void>(section.text("measures"));  // required
        instruments.push_back(
            read_instrument(section, std::string(section.choice<std::string_view>("measures", kQuantities))));
    }
    return instruments;
}

}  // namespace heatrow
