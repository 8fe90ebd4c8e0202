#include "heatrow/io/survey_gpkg_reader.hpp"

#include "gdal_guard.hpp"
#include "gpkg_table_reader.hpp"
#include "heatrow/core/error.hpp"
#include "heatrow/io/site_projection.hpp"
#include "heatrow/io/standing_review.hpp"
#include "survey_gpkg_crops.hpp"
#include "survey_gpkg_names.hpp"
#include "survey_gpkg_read_layout.hpp"
#include "survey_gpkg_read_results.hpp"
#include "survey_gpkg_run.hpp"
#include "survey_gpkg_schema.hpp"

#include <fmt/format.h>

namespace heatrow {
namespace {

namespace fs = std::filesystem;
using detail::GpkgTableReader;

[[noreturn]] void fail(const fs::path& path, std::string_view why, std::string_view remedy) {
    throw Error(ErrorKind::input, "cannot read the record", path.string(), why, remedy);
}

GDALDatasetUniquePtr open(const fs::path& path, const detail::GdalGuard& gdal) {
    constexpr const char* kDrivers[] = {"GPKG", nullptr};
    GDALDatasetUniquePtr dataset(GDALDataset::Open(path.c_str(), GDAL_OF_VECTOR | GDAL_OF_READONLY, kDrivers));
    if (!dataset) {
        fail(path,
             fs::exists(path) ? "it is no GeoPackage: " + gdal.last_error() : std::string("there is no such file"),
             "Give a result folder of 'heatrow analyse', or its survey.gpkg");
    }
    return dataset;
}

void read_limits(GDALDataset& dataset, const fs::path& path, SurveyRecord& record) {
    for (GpkgTableReader row(dataset, detail::limits_schema(), path); row.next();) {
        record.limits.push_back({row.text("quantity"),
                                 row.text("limit"),
                                 row.text("source"),
                                 row.named("flag", detail::parse_flag),
                                 row.real("value")});
    }
}

void read_pictures(GDALDataset& dataset, const fs::path& path, SurveyRecord& record) {
    const detail::NameIndex frames = detail::frames_by_name(record);
    for (GpkgTableReader row(dataset, detail::pictures_schema(), path); row.next();) {
        record.pictures.push_back({row.text("finding"),
                                   frames.of(row, "frame"),
                                   row.text("file"),
                                   Celsius(row.real("scale_low_c")),
                                   Celsius(row.real("scale_high_c"))});
    }
}

}  // namespace

SurveyRecord read_survey_gpkg(const fs::path& path) {
    const detail::GdalGuard gdal;
    const GDALDatasetUniquePtr dataset = open(path, gdal);
    SurveyRecord record;
    const SiteProjection projection(detail::origin_of(detail::read_run(*dataset, path, record), path));
    OGRLayer* modules = dataset->GetLayerByName(detail::modules_schema().name);
    if (modules == nullptr || modules->GetSpatialRef() == nullptr) {
        fail(path, "its modules have no coordinate system", "Restore the file, or run 'heatrow analyse' again");
    }
    const detail::SitePoints points(projection, *modules->GetSpatialRef(), path);
    record.layout = detail::read_layout_tables(*dataset, projection, points, path);
    read_limits(*dataset, path, record);
    record.review_log = detail::read_review_rows(*dataset, path);
    detail::read_frames(*dataset, points, path, record);
    detail::read_control(*dataset, points, path, record);
    detail::read_modules(*dataset, path, record);
    detail::read_views(*dataset, path, record);
    detail::read_strings(*dataset, path, record);
    detail::read_findings(*dataset, path, record);
    detail::read_run_tables(*dataset, path, record);
    stand_as_reviewed(record);
    read_pictures(*dataset, path, record);
    detail::read_crops(*dataset, path, record);
    detail::read_visible_pictures(*dataset, path, record);
    if (const std::string breach = first_breach(record); !breach.empty()) {
        fail(path, breach, "Restore the file, or run 'heatrow analyse' again");
    }
    return record;
}

}  // namespace heatrow
