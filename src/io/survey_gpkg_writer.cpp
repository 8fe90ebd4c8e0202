#include "heatrow/io/survey_gpkg_writer.hpp"

#include "gdal_guard.hpp"
#include "gdal_thread_option.hpp"
#include "gpkg_table.hpp"
#include "heatrow/core/error.hpp"
#include "survey_gpkg_rows.hpp"
#include "survey_gpkg_styles.hpp"

#include <cpl_error.h>
#include <fmt/format.h>
#include <gdal_priv.h>
#include <ogr_spatialref.h>

#include <algorithm>
#include <cmath>

namespace heatrow {
namespace {

namespace fs = std::filesystem;
using detail::fail_gpkg;

// The file carries the time of the survey's last frame, so that a run can be repeated to the byte.
UtcTime file_time(const SurveyRecord& record) {
    UtcTime latest{};
    for (const FrameResult& frame : record.frames) {
        latest = std::max(latest, frame.prior.time);
    }
    return std::chrono::floor<std::chrono::seconds>(latest);
}

// WGS 84 / UTM in the zone of the site, or the polar grid beyond its reach: metres in every GIS.
int epsg_of(const SiteOrigin& origin) {
    if (origin.latitude_deg > 84.0) {
        return 5041;
    }
    if (origin.latitude_deg < -80.0) {
        return 5042;
    }
    const double turned = std::remainder(origin.longitude_deg, 360.0);
    const int zone = std::clamp(static_cast<int>(std::floor((turned + 180.0) / 6.0)) + 1, 1, 60);
    return (origin.latitude_deg >= 0.0 ? 32600 : 32700) + zone;
}

OGRSpatialReference reference_of(int epsg, const fs::path& path) {
    OGRSpatialReference reference;
    if (reference.importFromEPSG(epsg) != OGRERR_NONE) {
        fail_gpkg(path, fmt::format("EPSG:{} is not known", epsg));
    }
    reference.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    return reference;
}

void write_styles(GDALDataset& dataset, const std::string& time, const fs::path& path) {
    for (const std::string& statement : detail::style_statements(time)) {
        CPLErrorReset();
        dataset.ExecuteSQL(statement.c_str(), nullptr, nullptr);
        if (CPLGetLastErrorType() == CE_Failure) {
            fail_gpkg(path, "the styles could not be written");
        }
    }
}

std::vector<detail::TableCount> write_content(const SurveyRecord& record,
                                              const SiteProjection& projection,
                                              const fs::path& path,
                                              const std::string& time) {
    GDALDriver* driver = GetGDALDriverManager()->GetDriverByName("GPKG");
    GDALDatasetUniquePtr dataset(driver == nullptr ? nullptr
                                                   : driver->Create(path.c_str(), 0, 0, 0, GDT_Unknown, nullptr));
    if (!dataset) {
        fail_gpkg(path, "it could not be made");
    }
    if (dataset->StartTransaction() != OGRERR_NONE) {
        fail_gpkg(path, "no transaction could be started");
    }
    const OGRSpatialReference geographic = reference_of(4326, path);
    const OGRSpatialReference projected = reference_of(epsg_of(projection.origin()), path);
    const detail::MapPoints points(projection, geographic, projected, path);
    std::vector<detail::TableCount> counts =
        detail::write_tables(*dataset, record, projection, points, projected, path);
    write_styles(*dataset, time, path);
    if (dataset->CommitTransaction() != OGRERR_NONE) {
        fail_gpkg(path, "the rows could not be committed");
    }
    CPLErrorReset();  // GDAL 3.6 reports a failing close only here
    dataset.reset();
    if (CPLGetLastErrorType() == CE_Failure) {
        fail_gpkg(path, "it could not be closed");
    }
    return counts;
}

// The first field of the first row that a statement gives; empty for no row.
std::string first_answer(GDALDataset& dataset, const char* statement) {
    OGRLayer* answer = dataset.ExecuteSQL(statement, nullptr, nullptr);
    if (answer == nullptr) {
        return {};
    }
    const OGRFeatureUniquePtr row(answer->GetNextFeature());
    std::string text = row ? row->GetFieldAsString(0) : "";
    dataset.ReleaseResultSet(answer);
    return text;
}

void check_written(const fs::path& path, const std::vector<detail::TableCount>& counts) {
    const GDALDatasetUniquePtr dataset(GDALDataset::Open(path.c_str(), GDAL_OF_VECTOR | GDAL_OF_READONLY));
    if (!dataset) {
        fail_gpkg(path, "it could not be opened again");
    }
    if (const std::string answer = first_answer(*dataset, "PRAGMA integrity_check"); answer != "ok") {
        fail_gpkg(path, "its integrity check says " + answer);
    }
    if (const std::string answer = first_answer(*dataset, "PRAGMA foreign_key_check"); !answer.empty()) {
        fail_gpkg(path, "its foreign keys do not match in " + answer);
    }
    for (const detail::TableCount& count : counts) {
        OGRLayer* layer = dataset->GetLayerByName(count.table.c_str());
        if (layer == nullptr || layer->GetFeatureCount() != count.rows) {
            fail_gpkg(path, "rows are missing in " + count.table);
        }
    }
    for (const char* companion : {"-journal", "-wal", "-shm"}) {
        if (fs::exists(path.string() + companion)) {
            fail_gpkg(path, fmt::format("its {} file was left behind", companion));
        }
    }
}

}  // namespace

void write_survey_gpkg(const SurveyRecord& record, const SiteProjection& projection, const fs::path& path) {
    if (fs::exists(path)) {
        throw Error(ErrorKind::output, "cannot write the GeoPackage", path.string(), "it exists", "Remove it first");
    }
    const detail::GdalGuard gdal;
    const std::string time = detail::gpkg_time(file_time(record));
    const detail::ThreadOption date("OGR_CURRENT_DATE", time);
    const detail::ThreadOption journal("OGR_SQLITE_JOURNAL", "DELETE");
    check_written(path, write_content(record, projection, path, time));
}

}  // namespace heatrow
