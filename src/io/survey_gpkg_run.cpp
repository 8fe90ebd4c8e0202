#include "survey_gpkg_run.hpp"

#include "gpkg_table_reader.hpp"
#include "heatrow/core/error.hpp"
#include "survey_gpkg_names.hpp"
#include "survey_gpkg_schema.hpp"

#include <fmt/format.h>

#include <charconv>

namespace heatrow::detail {
namespace {

namespace fs = std::filesystem;

constexpr std::string_view kFormat = "heatrow-survey";
constexpr std::string_view kVersion = "3";
constexpr std::string_view kColumnKey = "work_list_column.";

[[noreturn]] void fail(const fs::path& file, std::string_view why, std::string_view remedy) {
    throw Error(ErrorKind::input, "cannot read the record", file.string(), why, remedy);
}

// The shortest text that reads back as the same number.
std::string number_text(double value) {
    return fmt::format("{}", value);
}

// NaN where there is no such key.
double number_of(const RunValues& values, const char* key, const fs::path& file) {
    const auto found = values.find(key);
    if (found == values.end()) {
        return kNaN;
    }
    double value = 0.0;
    const std::string& text = found->second;
    if (std::from_chars(text.data(), text.data() + text.size(), value).ec != std::errc{}) {
        fail(file, fmt::format("{} of its table run is \"{}\"", key, text), "Restore the file");
    }
    return value;
}

TableCount write_run(GDALDataset& dataset, const SurveyRecord& record, const fs::path& file) {
    GpkgTable table(dataset, run_schema(), nullptr, file);
    const auto row = [&table](std::string_view key, std::string_view value) {
        table.text(key).text(value);
        table.end_row();
    };
    const SiteOrigin& origin = record.layout.origin;
    row("format", kFormat);
    row("format_version", kVersion);
    row("program", record.program);
    row("run", record.run.id);
    row("survey", record.survey_id);
    row("title", record.title);
    row("profile", record.profile_id);
    row("profile_version", record.profile_version);
    row("profile_title", record.profile_title);
    row("origin_longitude_deg", number_text(origin.longitude_deg));
    row("origin_latitude_deg", number_text(origin.latitude_deg));
    row("origin_height_m", number_text(origin.height.value()));
    row("decimal_comma", record.run.decimal_comma_tables ? "yes" : "no");
    if (const auto& start = record.run.work_list.start) {
        row("work_list_start_longitude_deg", number_text(start->longitude_deg));
        row("work_list_start_latitude_deg", number_text(start->latitude_deg));
    }
    for (const auto& [ours, theirs] : record.run.work_list.columns) {
        row(std::string(kColumnKey) + ours, theirs);
    }
    for (const std::string& note : record.notes) {
        row("note", note);
    }
    return {table.name(), table.rows()};
}

TableCount write_rules(GDALDataset& dataset, const SurveyRecord& record, const fs::path& file) {
    GpkgTable table(dataset, rules_schema(), nullptr, file);
    for (const RuleLine& rule : record.run.rules) {
        table.text(to_string(rule.pattern)).real(rule.class_2_from.value()).real(rule.class_3_from.value());
        table.real(rule.exponent).real(rule.exponent_low).real(rule.exponent_high).text(rule.source);
        table.end_row();
    }
    return {table.name(), table.rows()};
}

using Pairs = std::vector<std::pair<std::string, std::string>>;

TableCount write_pairs(GDALDataset& dataset, const GpkgSchema& schema, const Pairs& pairs, const fs::path& file) {
    GpkgTable table(dataset, schema, nullptr, file);
    for (const auto& [key, value] : pairs) {
        table.text(key).text(value);
        table.end_row();
    }
    return {table.name(), table.rows()};
}

Pairs read_pairs(GDALDataset& dataset, const GpkgSchema& schema, const fs::path& file) {
    Pairs pairs;
    for (GpkgTableReader row(dataset, schema, file); row.next();) {
        pairs.emplace_back(row.text(schema.columns[0].name), row.text(schema.columns[1].name));
    }
    return pairs;
}

TableCount write_inputs(GDALDataset& dataset, const SurveyRecord& record, const fs::path& file) {
    GpkgTable table(dataset, inputs_schema(), nullptr, file);
    for (const InputLine& input : record.run.inputs) {
        table.text(input.role).text(input.name).integer(static_cast<long long>(input.bytes)).text(input.sha256);
        table.end_row();
    }
    return {table.name(), table.rows()};
}

// What is stated, by the keys of the table `statement`.
struct StatedText {
    const char* key;
    std::string& (*of)(SurveyStatement&);
};

const std::vector<StatedText>& stated_texts() {
    static const std::vector<StatedText> all = {
        {"client", [](SurveyStatement& s) -> std::string& { return s.client; }},
        {"plant", [](SurveyStatement& s) -> std::string& { return s.plant; }},
        {"address", [](SurveyStatement& s) -> std::string& { return s.address; }},
        {"capacity", [](SurveyStatement& s) -> std::string& { return s.capacity; }},
        {"purpose", [](SurveyStatement& s) -> std::string& { return s.purpose; }},
        {"procedure", [](SurveyStatement& s) -> std::string& { return s.procedure; }},
        {"inspector", [](SurveyStatement& s) -> std::string& { return s.inspector.name; }},
        {"inspector_qualification", [](SurveyStatement& s) -> std::string& { return s.inspector.qualification; }},
        {"inspector_employer", [](SurveyStatement& s) -> std::string& { return s.inspector.employer; }},
        {"analyst", [](SurveyStatement& s) -> std::string& { return s.analyst.name; }},
        {"analyst_qualification", [](SurveyStatement& s) -> std::string& { return s.analyst.qualification; }},
        {"analyst_employer", [](SurveyStatement& s) -> std::string& { return s.analyst.employer; }},
        {"reviewer", [](SurveyStatement& s) -> std::string& { return s.reviewer.name; }},
        {"reviewer_qualification", [](SurveyStatement& s) -> std::string& { return s.reviewer.qualification; }},
        {"reviewer_employer", [](SurveyStatement& s) -> std::string& { return s.reviewer.employer; }},
    };
    return all;
}

Pairs statement_pairs(SurveyStatement stated) {
    Pairs pairs;
    for (const StatedText& text : stated_texts()) {
        pairs.emplace_back(text.key, text.of(stated));
    }
    return pairs;
}

SurveyStatement read_statement(GDALDataset& dataset, const fs::path& file) {
    SurveyStatement stated;
    for (const auto& [key, value] : read_pairs(dataset, statement_schema(), file)) {
        for (const StatedText& text : stated_texts()) {
            if (key == text.key) {
                text.of(stated) = value;
            }
        }
    }
    for (GpkgTableReader row(dataset, instruments_schema(), file); row.next();) {
        stated.instruments.push_back({row.text("measures"),
                                      row.text("maker"),
                                      row.text("model"),
                                      row.text("serial"),
                                      row.text("lens"),
                                      row.text("calibrated"),
                                      row.text("certificate")});
    }
    return stated;
}

TableCount write_instruments(GDALDataset& dataset, const SurveyRecord& record, const fs::path& file) {
    GpkgTable table(dataset, instruments_schema(), nullptr, file);
    for (const InstrumentStatement& instrument : record.stated.instruments) {
        table.text(instrument.measures).text(instrument.maker).text(instrument.model).text(instrument.serial);
        table.text(instrument.lens).text(instrument.calibrated).text(instrument.certificate);
        table.end_row();
    }
    return {table.name(), table.rows()};
}

}  // namespace

std::vector<TableCount> write_run_tables(GDALDataset& dataset, const SurveyRecord& record, const fs::path& file) {
    return {write_run(dataset, record, file),
            write_rules(dataset, record, file),
            write_pairs(dataset, settings_schema(), record.run.settings, file),
            write_pairs(dataset, clocks_schema(), record.run.clocks, file),
            write_inputs(dataset, record, file),
            write_pairs(dataset, statement_schema(), statement_pairs(record.stated), file),
            write_instruments(dataset, record, file)};
}

RunValues read_run(GDALDataset& dataset, const fs::path& file, SurveyRecord& record) {
    RunValues values;
    for (GpkgTableReader row(dataset, run_schema(), file); row.next();) {
        const std::string key = row.text("key");
        if (key == "note") {
            record.notes.push_back(row.text("value"));
        } else if (key.starts_with(kColumnKey)) {
            record.run.work_list.columns.emplace_back(key.substr(kColumnKey.size()), row.text("value"));
        } else {
            values[key] = row.text("value");
        }
    }
    if (values["format"] != kFormat || values["format_version"] != kVersion) {
        fail(file,
             fmt::format("its format is \"{}\" version \"{}\", not \"{}\" version \"{}\"",
                         values["format"],
                         values["format_version"],
                         kFormat,
                         kVersion),
             "Run 'heatrow analyse --overwrite' again with this version; decisions in its review log are carried over");
    }
    record.program = values["program"];
    record.survey_id = values["survey"];
    record.title = values["title"];
    record.profile_id = values["profile"];
    record.profile_version = values["profile_version"];
    record.profile_title = values["profile_title"];
    record.run.id = values["run"];
    record.run.decimal_comma_tables = values["decimal_comma"] == "yes";
    const GeographicPoint start{number_of(values, "work_list_start_longitude_deg", file),
                                number_of(values, "work_list_start_latitude_deg", file)};
    if (start.longitude_deg == start.longitude_deg && start.latitude_deg == start.latitude_deg) {
        record.run.work_list.start = start;
    }
    return values;
}

SiteOrigin origin_of(const RunValues& values, const fs::path& file) {
    const SiteOrigin origin{number_of(values, "origin_longitude_deg", file),
                            number_of(values, "origin_latitude_deg", file),
                            Metres(number_of(values, "origin_height_m", file))};
    if (!(origin.longitude_deg == origin.longitude_deg && origin.latitude_deg == origin.latitude_deg) ||
        !origin.height.is_known()) {
        fail(file, "its table run does not say where the site's origin is", "Restore the file");
    }
    return origin;
}

void read_run_tables(GDALDataset& dataset, const fs::path& file, SurveyRecord& record) {
    for (GpkgTableReader row(dataset, rules_schema(), file); row.next();) {
        record.run.rules.push_back({row.named("pattern", parse_pattern),
                                    KelvinDelta(row.real("class_2_from_k")),
                                    KelvinDelta(row.real("class_3_from_k")),
                                    row.real("exponent"),
                                    row.real("exponent_low"),
                                    row.real("exponent_high"),
                                    row.text("source")});
    }
    record.run.settings = read_pairs(dataset, settings_schema(), file);
    record.run.clocks = read_pairs(dataset, clocks_schema(), file);
    for (GpkgTableReader row(dataset, inputs_schema(), file); row.next();) {
        record.run.inputs.push_back({row.text("role"),
                                     row.text("file"),
                                     static_cast<std::uint64_t>(row.integer("bytes").value_or(0)),
                                     row.text("sha256")});
    }
    record.stated = read_statement(dataset, file);
}

}  // namespace heatrow::detail
