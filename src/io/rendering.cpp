#include "heatrow/io/rendering.hpp"

#include "heatrow/core/error.hpp"
#include "heatrow/core/nearest_word.hpp"
#include "heatrow/io/decode_text.hpp"
#include "heatrow/io/findings_csv.hpp"
#include "heatrow/io/modules_csv.hpp"
#include "heatrow/io/output_folder.hpp"
#include "heatrow/io/site_projection.hpp"
#include "heatrow/io/survey_gpkg_reader.hpp"
#include "heatrow/report/html_report.hpp"
#include "heatrow/report/string_ribbon.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace heatrow {
namespace {

namespace fs = std::filesystem;

void write_csv(const ReportModel& model, const fs::path& folder) {
    write_file(folder / "findings.csv", findings_csv(model));
    write_file(folder / "modules.csv", modules_csv(model));
}

void write_strings(const ReportModel& model, const fs::path& folder) {
    fs::create_directory(folder / "strings");
    for (const StringView& string : model.strings) {
        write_file(folder / "strings" / (string.file_stem + ".svg"), string_ribbon_svg(model, string, RibbonUse::file));
    }
}

void write_html(const ReportModel& model, const fs::path& folder) {
    write_file(folder / "report.html", html_report(model));
}

}  // namespace

const std::vector<Rendering>& renderings() {
    static const std::vector<Rendering> all = {
        {"csv", {"findings.csv", "modules.csv"}, write_csv},
        {"strings", {"strings"}, write_strings},
        {"html", {"report.html"}, write_html},
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
    context.locate = [&projection](const Eigen::Vector3d& point) {
        const SiteProjection::Geographic place = projection.to_geographic(point);
        return GeographicPoint{place.longitude_deg, place.latitude_deg};
    };
    context.is_beside = [&folder](const std::string& file) { return fs::is_regular_file(folder / file); };
    context.read_beside = [&folder](const std::string& file) { return read_text_bytes(folder / file); };
    return context;
}

SurveyRecord render_folder(const fs::path& folder, const std::vector<Rendering>& which) {
    SurveyRecord record = read_survey_gpkg(folder / "survey.gpkg");
    const SiteProjection projection(record.layout.origin);
    const ReportModel model = make_report_model(record, context_beside(projection, folder));
    for (const Rendering& rendering : which) {
        rendering.write(model, folder);
    }
    return record;
}

}  // namespace heatrow
