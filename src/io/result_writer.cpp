#include "heatrow/io/result_writer.hpp"

#include "heatrow/core/error.hpp"
#include "heatrow/io/findings_csv.hpp"
#include "heatrow/io/findings_xlsx.hpp"
#include "heatrow/io/modules_csv.hpp"
#include "heatrow/io/output_folder.hpp"
#include "heatrow/io/rendering.hpp"
#include "heatrow/io/site_projection.hpp"
#include "heatrow/io/survey_gpkg_writer.hpp"
#include "heatrow/io/work_list_files.hpp"
#include "heatrow/report/pdf_report.hpp"

#include <system_error>

namespace heatrow {
namespace {

namespace fs = std::filesystem;

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

// With what only the run knows.
ReportContext context_of(const RunFacts& facts, const SiteProjection& projection, const fs::path& folder) {
    ReportContext context = context_beside(projection, folder);
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
    return context;
}

void write_tables(const Layout& layout, const std::vector<TablePicture>& tables, const fs::path& folder) {
    const std::vector<std::string> files = table_picture_files(layout);
    for (const TablePicture& table : tables) {
        const fs::path file = folder / files.at(static_cast<std::size_t>(table.table));
        fs::create_directory(file.parent_path());
        write_file(file, table.png);
    }
}

void write_pictures(const std::vector<FindingPicture>& pictures, const PictureBytes& bytes, const fs::path& folder) {
    for (std::size_t i = 0; i < bytes.size(); ++i) {
        const fs::path file = folder / pictures.at(i).file;
        fs::create_directories(file.parent_path());
        write_file(file, bytes[i]);
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
                                   const PictureBytes& pictures,
                                   const fs::path& folder) {
    write_survey_gpkg(record, SiteProjection(record.layout.origin), folder / "survey.gpkg");
    write_tables(record.layout, tables, folder);
    write_pictures(record.pictures, pictures, folder);
    SurveyRecord kept = render_folder(folder, renderings());
    kept.stated = record.stated;
    const SiteProjection projection(kept.layout.origin);
    const ReportModel model = make_report_model(kept, context_of(facts, projection, folder));
    write_work_list(model, facts.work_list, projection, folder);
    if (facts.decimal_comma_tables) {
        write_file(folder / "findings-eu.csv", findings_csv(model, CsvDialect::decimal_comma));
        write_file(folder / "modules-eu.csv", modules_csv(model, CsvDialect::decimal_comma));
    }
    write_findings_xlsx(model, folder / "findings.xlsx");
    PdfReport pdf = pdf_report(model);
    write_file(folder / "report.pdf", pdf.bytes);
    write_file(folder / "manifest.json", manifest_text(kept, facts, folder));
    return std::move(pdf.notes);
}

}  // namespace

std::vector<std::string> write_results(const SurveyRecord& record,
                                       const RunFacts& facts,
                                       const std::vector<TablePicture>& tables,
                                       const PictureBytes& pictures,
                                       const fs::path& folder,
                                       bool overwrite) {
    if (const std::string breach = first_breach(record); !breach.empty()) {
        throw Error(
            ErrorKind::internal, "the record contradicts itself", "survey " + record.survey_id, breach, "Report this");
    }
    try {
        OutputFolder output(folder, overwrite);
        std::vector<std::string> notes = write_all(record, facts, tables, pictures, output.path());
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
