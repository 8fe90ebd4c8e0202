#include "heatrow/io/result_writer.hpp"

#include "heatrow/core/error.hpp"
#include "heatrow/io/findings_csv.hpp"
#include "heatrow/io/findings_xlsx.hpp"
#include "heatrow/io/modules_csv.hpp"
#include "heatrow/io/output_folder.hpp"
#include "heatrow/io/site_projection.hpp"
#include "heatrow/io/survey_gpkg_writer.hpp"
#include "heatrow/io/work_list_files.hpp"
#include "heatrow/report/file_stem.hpp"
#include "heatrow/report/html_report.hpp"
#include "heatrow/report/number_text.hpp"
#include "heatrow/report/pdf_report.hpp"
#include "heatrow/report/string_ribbon.hpp"

#include <system_error>

namespace heatrow {
namespace {

namespace fs = std::filesystem;

std::vector<LimitLine> limit_lines(const Profile& profile) {
    const auto& change = profile.maximum_irradiance_change_per_minute;
    return {
        {"Irradiance in the module plane",
         "at least " + short_text(profile.minimum_irradiance_w_m2.value, 1) + " W/m²",
         profile.minimum_irradiance_w_m2.source,
         Flag::irradiance_below_minimum,
         profile.minimum_irradiance_w_m2.value},
        {"Wind",
         "at most " + short_text(profile.maximum_wind_m_s.value, 1) + " m/s",
         profile.maximum_wind_m_s.source,
         Flag::wind_above_maximum,
         profile.maximum_wind_m_s.value},
        {"Change of irradiance",
         "at most " + short_text(100.0 * change.value, 1) + " % a minute, then a wait of " +
             short_text(profile.settling_time_min.value, 1) + " min",
         change.source,
         Flag::irradiance_unsteady,
         100.0 * change.value},
        {"Cloud",
         "at most " + short_text(profile.maximum_cloud_okta.value, 1) + " okta",
         profile.maximum_cloud_okta.source,
         Flag::cloud_above_maximum,
         profile.maximum_cloud_okta.value},
    };
}

std::vector<RuleLine> rule_lines(const Profile& profile) {
    std::vector<RuleLine> lines;
    for (int i = 0; i < kPatternCount; ++i) {
        const auto pattern = static_cast<Pattern>(i);
        if (const auto& rule = profile.rule(pattern)) {
            lines.push_back({pattern,
                             rule->class_2_from,
                             rule->class_3_from,
                             rule->exponent_low,
                             rule->exponent_high,
                             rule->source});
        }
    }
    return lines;
}

ReportContext context_of(const RunFacts& facts, const SiteProjection& projection) {
    ReportContext context;
    context.program = "heatrow " + facts.program_version;
    context.profile_title = facts.profile.title;
    context.limits = limit_lines(facts.profile);
    context.rules = rule_lines(facts.profile);
    context.run_id = run_id(facts);
    context.settings = facts.settings;
    for (const DeviceClock& device : facts.clocks) {
        context.clocks.emplace_back(device.device, clock_text(device.clock));
    }
    for (const InputFact& input : facts.inputs) {
        context.inputs.push_back({input.role, input.name, input.bytes, input.sha256});
    }
    context.crops = facts.crops;
    context.locate = [&projection](const Eigen::Vector3d& point) {
        const SiteProjection::Geographic place = projection.to_geographic(point);
        return GeographicPoint{place.longitude_deg, place.latitude_deg};
    };
    return context;
}

void write_tables(const std::vector<TablePicture>& tables, const fs::path& folder) {
    if (tables.empty()) {
        return;
    }
    fs::create_directory(folder);
    FileStems stems;
    for (const TablePicture& table : tables) {
        write_file(folder / (stems.claim(table.table) + ".png"), table.png);
    }
}

void write_work_list(const ReportModel& model,
                     const WorkListSettings& settings,
                     const SiteProjection& projection,
                     const fs::path& folder) {
    const Eigen::Vector3d start =
        settings.start ? projection.to_site(
                             settings.start->longitude_deg, settings.start->latitude_deg, projection.origin().height)
                       : Eigen::Vector3d(kNaN, kNaN, kNaN);
    const auto tasks = make_work_list(*model.record, start);
    write_file(folder / "worklist.csv", work_list_csv(model, tasks, settings));
    write_work_list_gpx(model, tasks, folder);
    write_findings_kml(model, folder / "findings.kml");
}

std::vector<std::string> write_all(const SurveyRecord& record,
                                   const RunFacts& facts,
                                   const std::vector<TablePicture>& tables,
                                   const fs::path& folder) {
    const SiteProjection projection(record.layout.origin);
    const ReportModel model = make_report_model(record, context_of(facts, projection));
    write_survey_gpkg(record, projection, folder / "survey.gpkg");
    write_file(folder / "findings.csv", findings_csv(model));
    write_file(folder / "modules.csv", modules_csv(model));
    if (facts.decimal_comma_tables) {
        write_file(folder / "findings-eu.csv", findings_csv(model, CsvDialect::decimal_comma));
        write_file(folder / "modules-eu.csv", modules_csv(model, CsvDialect::decimal_comma));
    }
    write_findings_xlsx(model, folder / "findings.xlsx");
    fs::create_directory(folder / "strings");
    for (const StringView& string : model.strings) {
        write_file(folder / "strings" / (string.file_stem + ".svg"), string_ribbon_svg(model, string, RibbonUse::file));
    }
    write_tables(tables, folder / "tables");
    write_work_list(model, facts.work_list, projection, folder);
    write_file(folder / "report.html", html_report(model));
    PdfReport pdf = pdf_report(model);
    write_file(folder / "report.pdf", pdf.bytes);
    write_file(folder / "manifest.json", manifest_text(record, facts, folder));
    return std::move(pdf.notes);
}

}  // namespace

std::vector<std::string> write_results(const SurveyRecord& record,
                                       const RunFacts& facts,
                                       const std::vector<TablePicture>& tables,
                                       const fs::path& folder,
                                       bool overwrite) {
    if (const std::string breach = first_breach(record); !breach.empty()) {
        throw Error(
            ErrorKind::internal, "the record contradicts itself", "survey " + record.survey_id, breach, "Report this");
    }
    try {
        OutputFolder output(folder, overwrite);
        std::vector<std::string> notes = write_all(record, facts, tables, output.path());
        output.publish();
        return notes;
    } catch (const fs::filesystem_error& error) {
        throw Error(ErrorKind::output,
                    "cannot write results",
                    folder.string(),
                    error.code().message(),
                    "Check the path, its permissions and its disk");
    }
}

}  // namespace heatrow
