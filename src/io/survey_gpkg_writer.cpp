#include "heatrow/io/survey_gpkg_writer.hpp"

#include "gpkg_file.hpp"
#include "survey_gpkg_rows.hpp"
#include "survey_gpkg_styles.hpp"

#include <algorithm>

namespace heatrow {
namespace {

// The file carries the time of the survey's last frame.
UtcTime file_time(const SurveyRecord& record) {
    UtcTime latest{};
    for (const FrameResult& frame : record.frames) {
        latest = std::max(latest, frame.prior.time);
    }
    return std::chrono::floor<std::chrono::seconds>(latest);
}

}  // namespace

void write_survey_gpkg(const SurveyRecord& record,
                       const SiteProjection& projection,
                       const std::filesystem::path& path) {
    detail::write_gpkg_file(
        path,
        projection,
        file_time(record),
        detail::survey_styles(),
        [&](GDALDataset& dataset, const detail::MapPoints& points, const OGRSpatialReference& reference) {
            return detail::write_tables(dataset, record, projection, points, reference, path);
        });
}

}  // namespace heatrow
