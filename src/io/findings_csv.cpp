#include "heatrow/io/findings_csv.hpp"

#include "finding_fields.hpp"
#include "heatrow/io/csv_writer.hpp"

namespace heatrow {
namespace {

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

GeographicPoint place_of(const ReportModel& model, const Finding& finding) {
    const Eigen::Vector3d place = position_of_finding(*model.record, finding);
    return model.context.locate && place.allFinite() ? model.context.locate(place) : GeographicPoint{};
}

void write_place(TableWriter& csv, const SurveyRecord& record, const Finding& finding) {
    const Module* module = finding.module == -1 ? nullptr : &record.layout.modules[at(finding.module)];
    csv.text(finding.id);
    csv.text(module == nullptr ? "" : module->id);
    csv.text(detail::module_names(record, finding.candidates));
    csv.text(detail::string_name(record, finding.string));
    if (module == nullptr || module->position <= 0) {
        csv.empty();
    } else {
        csv.integer(module->position);
    }
    csv.text(module == nullptr ? "" : detail::table_name(record, *module));
}

void write_judgement(TableWriter& csv, const Finding& finding) {
    csv.text(to_string(finding.pattern)).number(finding.pattern_probability, 3);
    csv.text(finding.pattern_second ? to_string(*finding.pattern_second) : std::string_view{});
    csv.text(detail::substring_list(finding)).text(detail::cell_list(finding));
    csv.integer(static_cast<int>(finding.abnormality)).number(finding.class_probability, 3);
}

void write_numbers(TableWriter& csv, const Finding& finding) {
    csv.number(finding.delta_t.value.value(), 2).number(finding.delta_t.u95(), 2);
    csv.number(finding.delta_t_1000.value.value(), 2).number(finding.delta_t_1000.u95(), 2);
    csv.number(finding.exponent, 2);
    csv.number(finding.t_hot.value(), 2).number(finding.t_reference.value(), 2);
    csv.text(finding.reference).text(to_iso8601(finding.time));
    csv.number(finding.conditions.irradiance.value.value(), 1).number(finding.conditions.wind.value.value(), 2);
    csv.number(finding.conditions.air.value.value(), 2).number(finding.conditions.load_fraction.value, 3);
}

void write_review(TableWriter& csv, const SurveyRecord& record, const Finding& finding) {
    const ReviewEntry* last = last_review(record, finding.id);
    csv.text(to_string(finding.verdict)).text(to_string(work_status_of(record, finding.id)));
    csv.text(last == nullptr ? std::string{} : last->after.comment);
    csv.text(last == nullptr ? std::string{} : last->reviewer);
    csv.text(last == nullptr ? std::string{} : to_iso8601(last->time));
    const auto found = record.as_found.find(finding.id);
    if (found == record.as_found.end()) {
        csv.empty().empty().empty();
        return;
    }
    csv.text(to_string(found->second.pattern)).integer(static_cast<int>(found->second.abnormality));
    csv.number(found->second.delta_t_1000.value.value(), 2);
}

}  // namespace

std::vector<std::string_view> finding_columns() {
    return {"finding",
            "module",
            "candidates",
            "string",
            "position",
            "table",
            "pattern",
            "pattern_probability",
            "pattern_second",
            "substrings",
            "cells",
            "class",
            "class_probability",
            "delta_t_k",
            "delta_t_u95_k",
            "delta_t_1000_k",
            "delta_t_1000_u95_k",
            "exponent",
            "t_hot_c",
            "t_reference_c",
            "reference",
            "time_utc",
            "irradiance_w_m2",
            "wind_m_s",
            "air_c",
            "load_fraction",
            "frames_used",
            "frames",
            "flags",
            "loss_w_low",
            "loss_w_high",
            "loss_rated_w_low",
            "loss_rated_w_high",
            "loss_kwh_year_low",
            "loss_kwh_year_high",
            "verdict",
            "work_status",
            "comment",
            "reviewer",
            "reviewed_utc",
            "found_pattern",
            "found_class",
            "found_delta_t_1000_k",
            "longitude",
            "latitude",
            "evidence"};
}

void write_findings(TableWriter& csv, const ReportModel& model) {
    const SurveyRecord& record = *model.record;
    for (const Finding& finding : record.findings) {
        write_place(csv, record, finding);
        write_judgement(csv, finding);
        write_numbers(csv, finding);
        csv.integer(static_cast<long long>(finding.frames.size())).text(detail::frame_names(record, finding.frames));
        csv.text(finding.flags.to_string()).number(finding.loss_w_low, 1).number(finding.loss_w_high, 1);
        csv.number(finding.loss_rated_w_low, 1).number(finding.loss_rated_w_high, 1);
        csv.number(finding.loss_kwh_year_low, 0).number(finding.loss_kwh_year_high, 0);
        const GeographicPoint place = place_of(model, finding);
        write_review(csv, record, finding);
        csv.number(place.longitude_deg, 8).number(place.latitude_deg, 8);
        csv.text(finding.evidence);
        csv.end_row();
    }
}

std::string findings_csv(const ReportModel& model, CsvDialect dialect) {
    CsvWriter csv(finding_columns(), dialect);
    write_findings(csv, model);
    return csv.str();
}

}  // namespace heatrow
