#include "heatrow/io/rendering.hpp"

#include "heatrow/core/error.hpp"
#include "heatrow/core/nearest_word.hpp"
#include "heatrow/io/decode_text.hpp"
#include "heatrow/io/findings_csv.hpp"
#include "heatrow/io/findings_xlsx.hpp"
#include "heatrow/io/modules_csv.hpp"
#include "heatrow/io/output_folder.hpp"
#include "heatrow/io/site_projection.hpp"
#include "heatrow/io/survey_gpkg_reader.hpp"
#include "heatrow/io/work_list_files.hpp"
#include "heatrow/report/html_report.hpp"
#include "heatrow/report/pdf_report.hpp"
#include "heatrow/report/string_ribbon.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <memory>
#include <mutex>
#include <set>

namespace heatrow {
namespace {

namespace fs = std::filesystem;

using Notes = std::vector<std::string>;

Notes write_csv(const ReportModel& model, const fs::path& folder) {
    write_file(folder / "findings.csv", findings_csv(model));
    write_file(folder / "modules.csv", modules_csv(model));
    if (model.record->run.decimal_comma_tables) {
        write_file(folder / "findings-eu.csv", findings_csv(model, CsvDialect::decimal_comma));
        write_file(folder / "modules-eu.csv", modules_csv(model, CsvDialect::decimal_comma));
    }
    return {};
}

Notes write_strings(const ReportModel& model, const fs::path& folder) {
    fs::create_directory(folder / "strings");
    for (const StringView& string : model.strings) {
        write_file(folder / "strings" / (string.file_stem + ".svg"), string_ribbon_svg(model, string, RibbonUse::file));
    }
    return {};
}

Notes write_html(const ReportModel& model, const fs::path& folder) {
    write_file(folder / "report.html", html_report(model));
    return {};
}

Notes write_work_list(const ReportModel& model, const fs::path& folder) {
    const SurveyRecord& record = *model.record;
    const WorkListSettings& settings = record.run.work_list;
    const SiteProjection projection(record.layout.origin);
    const Eigen::Vector3d start =
        settings.start ? projection.to_site(
                             settings.start->longitude_deg, settings.start->latitude_deg, projection.origin().height)
                       : Eigen::Vector3d(kNaN, kNaN, kNaN);
    const auto tasks = make_work_list(record, start);
    write_file(folder / "worklist.csv", work_list_csv(model, tasks, settings));
    write_work_list_gpx(model, tasks, folder);
    return {};
}

Notes write_kml(const ReportModel& model, const fs::path& folder) {
    write_findings_kml(model, folder / "findings.kml");
    return {};
}

Notes write_xlsx(const ReportModel& model, const fs::path& folder) {
    write_findings_xlsx(model, folder / "findings.xlsx");
    return {};
}

Notes write_pdf(const ReportModel& model, const fs::path& folder) {
    PdfReport pdf = pdf_report(model);
    write_file(folder / "report.pdf", pdf.bytes);
    return std::move(pdf.notes);
}

}  // namespace

bool is_written_by(const Rendering& rendering, std::string_view name) {
    return std::any_of(rendering.files.begin(), rendering.files.end(), [name](std::string_view file) {
        return file.ends_with('*') ? name.starts_with(file.substr(0, file.size() - 1)) : name == file;
    });
}

const std::vector<Rendering>& renderings() {
    static const std::vector<Rendering> all = {
        {"csv", {"findings.csv", "modules.csv", "findings-eu.csv", "modules-eu.csv"}, write_csv},
        {"strings", {"strings"}, write_strings},
        {"html", {"report.html"}, write_html},
        {"worklist", {"worklist.csv", "worklist-class-*"}, write_work_list},
        {"kml", {"findings.kml"}, write_kml},
        {"xlsx", {"findings.xlsx"}, write_xlsx},
        {"pdf", {"report.pdf"}, write_pdf},
    };
    return all;
}

std::vector<Rendering> renderings_named(const std::vector<std::string>& names) {
    std::vector<std::string> known;
    for (const Rendering& rendering : renderings()) {
        known.emplace_back(rendering.name);
    }
    for (const std::string& name : names) {
        if (std::find(known.begin(), known.end(), name) == known.end()) {
            const auto nearest = nearest_word(name, known);
            throw Error(ErrorKind::usage,
                        "cannot choose outputs",
                        "--only",
                        fmt::format("\"{}\" is no output", name),
                        nearest ? fmt::format("Did you mean \"{}\"?", *nearest)
                                : fmt::format("There are {}", fmt::join(known, ", ")));
        }
    }
    std::vector<Rendering> chosen;
    for (const Rendering& rendering : renderings()) {
        if (names.empty() || std::find(names.begin(), names.end(), rendering.name) != names.end()) {
            chosen.push_back(rendering);
        }
    }
    return chosen;
}

ReportContext context_beside(const SiteProjection& projection, const fs::path& folder) {
    ReportContext context;
    const auto guard = std::make_shared<std::mutex>();  // a projection is one thread's
    context.locate = [&projection, guard](const Eigen::Vector3d& point) {
        const std::lock_guard lock(*guard);
        const SiteProjection::Geographic place = projection.to_geographic(point);
        return GeographicPoint{place.longitude_deg, place.latitude_deg};
    };
    context.is_beside = [&folder](const std::string& file) { return fs::is_regular_file(folder / file); };
    context.read_beside = [&folder](const std::string& file) { return read_text_bytes(folder / file); };
    return context;
}

RenderedFolder render_folder(const fs::path& folder,
                             const std::vector<Rendering>& which,
                             const ForEach& for_each,
                             const OtherFiles& others) {
    RenderedFolder rendered{read_survey_gpkg(folder / "survey.gpkg"), {}};
    const SiteProjection projection(rendered.record.layout.origin);
    ReportContext context = context_beside(projection, folder);
    const std::set<std::string> coming(others.names.begin(), others.names.end());
    context.is_beside = [&coming, is_there = context.is_beside](const std::string& file) {
        return coming.contains(file) || is_there(file);
    };
    const ReportModel model = make_report_model(rendered.record, context);
    std::vector<Notes> each(which.size());
    for_each(which.size() + others.names.size(), [&](std::size_t i) {
        if (i < which.size()) {
            const std::size_t back = which.size() - 1 - i;  // report.pdf, the last one, takes longest: begun first
            each[back] = which[back].write(model, folder);
        } else {
            others.write(i - which.size());
        }
    });
    for (const Notes& notes : each) {
        rendered.notes.insert(rendered.notes.end(), notes.begin(), notes.end());
    }
    return rendered;
}

}  // namespace heatrow
