#include "heatrow/io/survey_gpkg_reader.hpp"

#include "gdal_guard.hpp"
#include "gpkg_table_reader.hpp"
#include "heatrow/core/error.hpp"
#include "heatrow/io/site_projection.hpp"
#include "survey_gpkg_names.hpp"
#include "survey_gpkg_read_layout.hpp"
#include "survey_gpkg_read_results.hpp"
#include "survey_gpkg_schema.hpp"

#include <fmt/format.h>

#include <charconv>
#include <map>

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

// Key and value of the table `run`; notes go to the record.
std::map<std::string, std::string> read_run(GDALDataset& dataset, const fs::path& path, SurveyRecord& record) {
    std::map<std::string, std::string> values;
    for (GpkgTableReader row(dataset, detail::run_schema(), path); row.next();) {
        if (row.text("key") == "note") {
            record.notes.push_back(row.text("value"));
        } else {
            values[row.text("key")] = row.text("value");
        }
    }
    if (values["format"] != "heatrow-survey" || values["format_version"] != "2") {
        fail(path,
             fmt::format("its format is \"{}\" version \"{}\", not \"heatrow-survey\" version \"2\"",
                         values["format"],
                         values["format_version"]),
             "Run 'heatrow analyse' again with this version");
    }
    record.program = values["program"];
    record.survey_id = values["survey"];
    record.title = values["title"];
    record.profile_id = values["profile"];
    record.profile_version = values["profile_version"];
    record.profile_title = values["profile_title"];
    return values;
}

double number(const std::map<std::string, std::string>& values, const char* key, const fs::path& path) {
    const auto found = values.find(key);
    double value = 0.0;
    const std::string text = found == values.end() ? "" : found->second;
    if (std::from_chars(text.data(), text.data() + text.size(), value).ec != std::errc{}) {
        fail(path, fmt::format("{} of its table run is \"{}\"", key, text), "Restore the file");
    }
    return value;
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
    const auto values = read_run(*dataset, path, record);
    const SiteProjection projection({number(values, "origin_longitude_deg", path),
                                     number(values, "origin_latitude_deg", path),
                                     Metres(number(values, "origin_height_m", path))});
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
    read_pictures(*dataset, path, record);
    if (const std::string breach = first_breach(record); !breach.empty()) {
        fail(path, breach, "Restore the file, or run 'heatrow analyse' again");
    }
    return record;
}

}  // namespace heatrow
