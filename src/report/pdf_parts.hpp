// The parts of report.pdf, in their order.
#pragma once

#include "heatrow/report/report_model.hpp"
#include "pdf_page.hpp"

#include <string>
#include <string_view>
#include <vector>

namespace heatrow {

inline constexpr std::string_view kSummaryPart = "Summary";
inline constexpr std::string_view kRecordPart = "Full record";
// The running head of a part of the record.
inline std::string record_part(std::string_view name) {
    return std::string(kRecordPart) + " · " + std::string(name);
}

// At most four pages. `notes`: what the making of this file itself found missing.
void add_summary(PdfPages& pages, const ReportModel& model, const std::vector<std::string>& notes);

// A page for each finding.
void add_findings(PdfPages& pages, const ReportModel& model, int parent);
// The rest of the record: strings, equipment, conditions, coverage, statistics, uncertainty, definitions, modules,
// files.
void add_strings(PdfPages& pages, const ReportModel& model, int parent);
void add_equipment(PdfPages& pages, const ReportModel& model, int parent);
void add_conditions(PdfPages& pages, const ReportModel& model, int parent);
void add_coverage(PdfPages& pages, const ReportModel& model, int parent);
void add_statistics(PdfPages& pages, const ReportModel& model, int parent);
void add_definitions(PdfPages& pages, const ReportModel& model, int parent);
void add_modules(PdfPages& pages, const ReportModel& model, int parent);
void add_files(PdfPages& pages, const ReportModel& model, int parent);

// The destination of a finding's page, e.g. "f3".
std::string finding_destination(int finding);
// "R1-S1-M3" or "String S2".
std::string finding_place(const SurveyRecord& record, const Finding& finding);
// "Hot cell r4c4", "Substring bypassed, substring 3".
std::string finding_pattern(const Finding& finding);
// The larger of what is known: at 1000 W/m2, or as measured with its irradiance.
std::string finding_figure(const Finding& finding);

}  // namespace heatrow
