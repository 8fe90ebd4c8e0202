#include "joint_output.hpp"

#include "heatrow/io/csv_writer.hpp"
#include "joint_texts.hpp"
#include "rounded_json.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <array>

namespace heatrow::cli {
namespace {

using Json = nlohmann::ordered_json;

constexpr int kDecimals = 2;  // of a temperature

Json uncertain_json(const Uncertain<KelvinDelta>& value) {
    return {{"kelvin", rounded(value.value.value(), kDecimals)}, {"u95_k", rounded(value.u95(), kDecimals)}};
}

const JointStep* step_of(const JointSurvey& survey, const JointResult& result) {
    return result.verdict && result.verdict->step >= 0
               ? &survey.profile.steps[static_cast<std::size_t>(result.verdict->step)]
               : nullptr;
}

Json verdict_json(const JointSurvey& survey, const JointResult& result) {
    if (!result.verdict) {
        return nullptr;
    }
    const JointStep* step = step_of(survey, result);
    Json json{{"class", static_cast<int>(result.verdict->abnormality)},
              {"probability", rounded(result.verdict->probability, 3)}};
    if (step != nullptr) {
        json["step"] = {{"compare", to_string(step->comparison)},
                        {"from_k", step->from.value()},
                        {"action", step->action},
                        {"source", step->source}};
    }
    return json;
}

Json joint_json(const JointSurvey& survey, std::size_t i) {
    const JointRow& row = survey.list.rows[i];
    const JointReading& reading = survey.readings[i];
    const JointResult& result = survey.results[i];
    const auto optional = [](const std::optional<double>& value) { return value ? Json(*value) : Json(nullptr); };
    Json json;
    json["joint"] = row.id;
    json["line"] = row.line;
    json["group"] = row.group;
    json["phase"] = row.phase;
    json["thermogram"] = row.thermogram.empty() ? Json(nullptr) : Json(row.thermogram.string());
    json["surface"] = to_string(reading.surface);
    json["emissivity"] = reading.surface == JointSurface::contact_probe ? Json(nullptr) : Json(reading.emissivity);
    json["temperature_c"] = rounded(reading.temperature.value(), kDecimals);
    json["air_c"] = rounded(reading.air.value.value(), kDecimals);
    json["current_a"] = reading.current_a;
    json["rated_a"] = reading.rated_a;
    json["load_fraction"] = rounded(result.load_fraction, 4);
    json["cover_open_min"] = optional(row.cover_open_min);
    json["load_held_min"] = optional(row.load_held_min);
    json["rise"] = uncertain_json(result.rise);
    json["rise_at_rated"] = uncertain_json(result.rise_at_rated);
    json["over_siblings"] = uncertain_json(result.over_siblings);
    json["siblings"] = result.siblings;
    json["lower_bound"] = result.lower_bound;
    json["verdict"] = verdict_json(survey, result);
    json["flags"] = result.flags.to_string();
    json["reasons"] = joint_reasons(survey, i);
    json["note"] = row.note;
    return json;
}

constexpr std::array<std::string_view, 27> kColumns{"joint",
                                                    "group",
                                                    "phase",
                                                    "thermogram",
                                                    "surface",
                                                    "emissivity",
                                                    "temperature_c",
                                                    "air_c",
                                                    "current_a",
                                                    "rated_a",
                                                    "load_fraction",
                                                    "cover_open_min",
                                                    "load_held_min",
                                                    "rise_k",
                                                    "rise_u95_k",
                                                    "rise_at_rated_k",
                                                    "rise_at_rated_u95_k",
                                                    "over_siblings_k",
                                                    "over_siblings_u95_k",
                                                    "siblings",
                                                    "compared_at",
                                                    "class",
                                                    "class_probability",
                                                    "action",
                                                    "flags",
                                                    "reasons",
                                                    "note"};

void add_row(CsvWriter& csv, const JointSurvey& survey, std::size_t i) {
    const JointRow& row = survey.list.rows[i];
    const JointReading& reading = survey.readings[i];
    const JointResult& result = survey.results[i];
    const auto uncertain = [&csv](const Uncertain<KelvinDelta>& value) {
        csv.number(value.value.value(), kDecimals).number(value.u95(), kDecimals);
    };
    csv.text(row.id).text(row.group).text(row.phase).text(row.thermogram.string()).text(to_string(reading.surface));
    csv.number(reading.surface == JointSurface::contact_probe ? kNaN : reading.emissivity, 3);
    csv.number(reading.temperature.value(), kDecimals).number(reading.air.value.value(), kDecimals);
    csv.number(reading.current_a, 3).number(reading.rated_a, 3).number(result.load_fraction, 4);
    csv.number(row.cover_open_min.value_or(kNaN), 1).number(row.load_held_min.value_or(kNaN), 1);
    uncertain(result.rise);
    uncertain(result.rise_at_rated);
    uncertain(result.over_siblings);
    csv.integer(result.siblings).text(to_string(survey.profile.load));
    if (result.verdict) {
        csv.integer(static_cast<int>(result.verdict->abnormality)).number(result.verdict->probability, 3);
    } else {
        csv.empty().empty();
    }
    const JointStep* step = step_of(survey, result);
    csv.text(step == nullptr ? "" : step->action).text(result.flags.to_string());
    csv.text(fmt::format("{}", fmt::join(joint_reasons(survey, i), "; "))).text(row.note);
    csv.end_row();
}

// Width of a text on a terminal, near enough: code points.
std::size_t width_of(std::string_view text) {
    return static_cast<std::size_t>(std::count_if(
        text.begin(), text.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U; }));
}

std::string padded(std::string text, std::size_t width, bool right) {
    const std::size_t missing = width - std::min(width, width_of(text));
    return right ? std::string(missing, ' ') + text : text + std::string(missing, ' ');
}

std::string table_text(const std::vector<std::vector<std::string>>& rows, std::size_t left_columns) {
    std::vector<std::size_t> widths(rows.front().size());
    for (const auto& row : rows) {
        for (std::size_t c = 0; c < row.size(); ++c) {
            widths[c] = std::max(widths[c], width_of(row[c]));
        }
    }
    std::string text;
    for (const auto& row : rows) {
        std::string line;
        for (std::size_t c = 0; c < row.size(); ++c) {
            line += (c == 0 ? "" : "  ") + padded(row[c], widths[c], c >= left_columns);
        }
        text += line.substr(0, line.find_last_not_of(' ') + 1) + "\n";
    }
    return text;
}

}  // namespace

std::string joints_as_text(const JointSurvey& survey) {
    const JointProfile& profile = survey.profile;
    std::string text = fmt::format("{}: {} joints, profile {} {}\n  {}\n",
                                   survey.list.name,
                                   survey.list.rows.size(),
                                   profile.id,
                                   profile.version,
                                   profile.title);
    text += fmt::format("  scaled with exponent {:g} ({:g} to {:g}); compared {}; +- is the 95 % interval\n\n",
                        profile.exponent.value,
                        profile.exponent_low.value,
                        profile.exponent_high.value,
                        load_words(profile.load));
    std::vector<std::vector<std::string>> rows{
        {"joint", "group", "degC", "A", "load %", "rise K", "at rated K", "over siblings K", "class"}};
    std::string verdicts;
    std::string reasons;
    for (std::size_t i = 0; i < survey.results.size(); ++i) {
        const JointRow& row = survey.list.rows[i];
        const JointResult& result = survey.results[i];
        const double celsius = survey.readings[i].temperature.value();
        rows.push_back({row.id,
                        row.group,
                        survey.readings[i].temperature.is_known() ? fmt::format("{:.1f}", celsius) : "-",
                        fmt::format("{:g}", row.current_a),
                        fmt::format("{:.0f}", 100.0 * result.load_fraction),
                        plus_minus(result.rise),
                        plus_minus(result.rise_at_rated, result.lower_bound),
                        plus_minus(result.over_siblings, result.lower_bound),
                        result.verdict ? fmt::format("{}", static_cast<int>(result.verdict->abnormality))
                                       : std::string("not judged")});
        if (const JointStep* step = step_of(survey, result)) {
            verdicts +=
                fmt::format("  {}: class {} (probability {:.2f}): {}\n    {}\n    limit {:g} K against the {}: {}\n",
                            row.id,
                            static_cast<int>(result.verdict->abnormality),
                            result.verdict->probability,
                            step->action,
                            joint_evidence(survey, i),
                            step->from.value(),
                            to_string(step->comparison),
                            step->source);
        }
        for (const std::string& reason : joint_reasons(survey, i)) {
            reasons += fmt::format("  {}: {}\n", row.id, reason);
        }
    }
    text += table_text(rows, 2);
    text += verdicts.empty() ? "" : "\nfindings\n" + verdicts;
    text += reasons.empty() ? "" : "\nto be known; what was not judged is not called healthy\n" + reasons;
    text += "\ncautions\n";
    for (const std::string_view caution : kJointCautions) {
        text += fmt::format("  {}\n", caution);
    }
    return text;
}

std::string joints_as_json(const JointSurvey& survey) {
    const JointProfile& profile = survey.profile;
    Json json;
    json["schema"] = "heatrow-joints/1";
    json["list"] = survey.list.name;
    Json figures = Json::object();
    for (const JointProfileKey& key : kJointProfileKeys) {
        const JointLimit& limit = profile.*key.member;
        figures[std::string(key.name)] = {{"value", limit.value}, {"source", limit.source}};
    }
    json["profile"] = {{"id", profile.id},
                       {"version", profile.version},
                       {"title", profile.title},
                       {"compared_at", to_string(profile.load)},
                       {"figures", figures}};
    json["joints"] = Json::array();
    for (std::size_t i = 0; i < survey.results.size(); ++i) {
        json["joints"].push_back(joint_json(survey, i));
    }
    json["cautions"] = kJointCautions;
    return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

std::string joints_as_csv(const JointSurvey& survey) {
    CsvWriter csv({kColumns.begin(), kColumns.end()});
    for (std::size_t i = 0; i < survey.results.size(); ++i) {
        add_row(csv, survey, i);
    }
    return csv.str();
}

}  // namespace heatrow::cli
