#include "heatrow/io/decisions_reader.hpp"

#include "decision_fields.hpp"
#include "decisions_table.hpp"
#include "heatrow/core/nearest_word.hpp"
#include "heatrow/io/decode_text.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <cctype>

namespace heatrow {
namespace {

namespace fs = std::filesystem;
using detail::fail_decision;
using Json = nlohmann::json;

const std::vector<std::string> kFileKeys{"format", "format_version", "survey", "decisions"};
const std::vector<std::string> kRowKeys{"finding", "verdict", "pattern", "comment", "work_status", "reviewer", "reviewed_utc"};

void require_known_keys(const Json& object, const std::vector<std::string>& known, const std::string& place) {
    for (const auto& [key, value] : object.items()) {
        if (std::find(known.begin(), known.end(), key) == known.end()) {
            const auto nearest = nearest_word(key, known);
            fail_decision(place,
                          fmt::format("the key \"{}\" is not known", key),
                          nearest ? fmt::format("Did you mean \"{}\"?", *nearest)
                                  : fmt::format("Known are {}", fmt::join(known, ", ")));
        }
    }
}

// The text of a key; empty where it is not there.
std::string text_of(const Json& object, const char* key, const std::string& place) {
    const auto found = object.find(key);
    if (found == object.end()) {
        return {};
    }
    if (!found->is_string()) {
        fail_decision(fmt::format("{}, field {}", place, key), found->dump() + " is no text", "Write it in quotes");
    }
    return found->get<std::string>();
}

DecisionRow row_of(const Json& object, const std::string& file, std::size_t index) {
    std::string place = fmt::format("{}, decision {}", file, index + 1);
    if (!object.is_object()) {
        fail_decision(place, "it is no object", "See docs/formats/decisions.md");
    }
    require_known_keys(object, kRowKeys, place);
    DecisionRow row;
    row.finding = text_of(object, "finding", place);
    if (const std::string verdict = text_of(object, "verdict", place); !verdict.empty()) {
        row.verdict = detail::verdict_field(place, verdict);
    }
    if (object.contains("pattern")) {
        const std::string pattern = text_of(object, "pattern", place);
        row.clears_pattern = pattern.empty();
        if (!pattern.empty()) {
            row.pattern = detail::pattern_field(place, pattern);
        }
    }
    if (object.contains("comment")) {
        row.comment = text_of(object, "comment", place);
    }
    if (const std::string work = text_of(object, "work_status", place); !work.empty()) {
        row.work = detail::work_field(place, work);
    }
    row.reviewer = text_of(object, "reviewer", place);
    if (const std::string time = text_of(object, "reviewed_utc", place); !time.empty()) {
        row.time = detail::time_field(place, time, false);
    }
    row.place = std::move(place);
    return row;
}

DecisionFile read_json(const fs::path& path, const std::string& survey) {
    const std::string name = path.filename().string();
    Json json;
    try {
        json = Json::parse(decode_text(read_text_bytes(path), name).text);
    } catch (const Json::parse_error& error) {
        fail_decision(name, error.what(), "Save the decisions from report.html again");
    }
    const auto holds = [&json](const char* key, const Json& value) {
        return json.is_object() && json.contains(key) && json[key] == value;
    };
    if (!holds("format", "heatrow-decisions") || !holds("format_version", 1) || !json.contains("decisions") ||
        !json["decisions"].is_array()) {
        fail_decision(name, "it is no file of decisions, format heatrow-decisions 1", "See docs/formats/decisions.md");
    }
    require_known_keys(json, kFileKeys, name);
    if (const std::string of = text_of(json, "survey", name); of != survey) {
        fail_decision(name,
                      fmt::format("it belongs to survey \"{}\", the record to \"{}\"", of, survey),
                      "Give the decisions of this survey");
    }
    DecisionFile file{name, {}};
    for (std::size_t i = 0; i < json["decisions"].size(); ++i) {
        file.rows.push_back(row_of(json["decisions"][i], name, i));
    }
    return file;
}

}  // namespace

DecisionFile read_decisions(const fs::path& file, const std::string& survey) {
    std::string suffix = file.extension().string();
    std::transform(suffix.begin(), suffix.end(), suffix.begin(), [](unsigned char c) {
        return static_cast<char>(std::tolower(c));
    });
    if (suffix == ".json") {
        return read_json(file, survey);
    }
    if (suffix == ".csv") {
        return detail::read_csv_decisions(file);
    }
    if (suffix == ".xlsx") {
        return detail::read_xlsx_decisions(file);
    }
    if (suffix == ".gpkg") {
        return detail::read_gpkg_decisions(file);
    }
    fail_decision(file.string(),
                  fmt::format("\"{}\" is no kind of file that holds decisions", suffix),
                  "Give a .json, .csv, .xlsx or .gpkg");
}

}  // namespace heatrow
