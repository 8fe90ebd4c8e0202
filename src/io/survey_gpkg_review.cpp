#include "heatrow/io/survey_gpkg_review.hpp"

#include "gdal_guard.hpp"
#include "gdal_thread_option.hpp"
#include "gpkg_table.hpp"
#include "gpkg_table_reader.hpp"
#include "heatrow/core/error.hpp"
#include "survey_gpkg_attributes.hpp"
#include "survey_gpkg_names.hpp"
#include "survey_gpkg_schema.hpp"

#include <gdal_priv.h>

#include <algorithm>
#include <map>

namespace heatrow {
namespace {

namespace fs = std::filesystem;
using detail::fail_gpkg;

GDALDatasetUniquePtr open(const fs::path& gpkg, unsigned mode) {
    constexpr const char* kDrivers[] = {"GPKG", nullptr};
    return GDALDatasetUniquePtr(GDALDataset::Open(gpkg.c_str(), GDAL_OF_VECTOR | mode, kDrivers));
}

OGRLayer& layer_of(GDALDataset& dataset, const detail::GpkgSchema& schema, const fs::path& gpkg) {
    OGRLayer* layer = dataset.GetLayerByName(schema.name);
    if (layer == nullptr) {
        fail_gpkg(gpkg, std::string("it has no table ") + schema.name);
    }
    return *layer;
}

void set_text(OGRFeature& feature, const char* column, std::string_view text) {
    if (text.empty()) {
        feature.SetFieldNull(feature.GetFieldIndex(column));
    } else {
        feature.SetField(column, std::string(text).c_str());
    }
}

void set_decision(OGRFeature& feature, const ReviewEntry& entry) {
    set_text(feature, "verdict", to_string(entry.after.verdict));
    set_text(feature, "reviewed_pattern", entry.after.pattern ? to_string(*entry.after.pattern) : std::string_view{});
    set_text(feature, "comment", entry.after.comment);
    set_text(feature, "reviewer", entry.reviewer);
    detail::set_time(feature, feature.GetFieldIndex("reviewed_utc"), entry.time);
}

void update_findings(GDALDataset& dataset, const std::vector<ReviewEntry>& log, const fs::path& gpkg) {
    std::map<std::string, const ReviewEntry*> last;
    for (const ReviewEntry& entry : log) {
        last[entry.finding] = &entry;
    }
    OGRLayer& layer = layer_of(dataset, detail::findings_schema(), gpkg);
    std::vector<OGRFeatureUniquePtr> changed;
    for (auto& feature : layer) {
        const auto found = last.find(feature->GetFieldAsString("finding"));
        if (found != last.end()) {
            set_decision(*feature, *found->second);
            changed.push_back(std::move(feature));
        }
    }
    for (const OGRFeatureUniquePtr& feature : changed) {
        if (layer.SetFeature(feature.get()) != OGRERR_NONE) {
            fail_gpkg(gpkg, "a finding could not be changed");
        }
    }
}

// The file carries the time of what was decided last instead of the clock's.
std::string file_time(const std::vector<ReviewEntry>& log) {
    UtcTime latest{};
    for (const ReviewEntry& entry : log) {
        latest = std::max(latest, entry.time);
    }
    return detail::gpkg_time(std::chrono::floor<std::chrono::seconds>(latest));
}

}  // namespace

KeptReview read_review_log(const fs::path& gpkg) {
    const detail::GdalGuard gdal;
    const GDALDatasetUniquePtr dataset = open(gpkg, GDAL_OF_READONLY);
    if (!dataset) {
        throw Error(ErrorKind::input,
                    "cannot read the review log",
                    gpkg.string(),
                    "it is no GeoPackage: " + gdal.last_error(),
                    "Restore the file, or move it away");
    }
    KeptReview kept;
    for (detail::GpkgTableReader row(*dataset, detail::run_schema(), gpkg); row.next();) {
        if (row.text("key") == "survey") {
            kept.survey = row.text("value");
        }
    }
    if (dataset->GetLayerByName(detail::review_log_schema().name) != nullptr) {
        kept.log = detail::read_review_rows(*dataset, gpkg);
    }
    return kept;
}

void append_review_log(const fs::path& gpkg, const std::vector<ReviewEntry>& log, std::size_t added) {
    const detail::GdalGuard gdal;
    const detail::ThreadOption date("OGR_CURRENT_DATE", file_time(log));
    const detail::ThreadOption journal("OGR_SQLITE_JOURNAL", "DELETE");
    GDALDatasetUniquePtr dataset = open(gpkg, GDAL_OF_UPDATE);
    if (!dataset || dataset->StartTransaction() != OGRERR_NONE) {
        fail_gpkg(gpkg, "it could not be opened to add to its review log");
    }
    {
        OGRLayer& layer = layer_of(*dataset, detail::review_log_schema(), gpkg);
        detail::GpkgTable table(layer, detail::review_log_schema(), gpkg);
        for (std::size_t i = log.size() - added; i < log.size(); ++i) {
            detail::write_review_row(table, log[i]);
        }
    }
    update_findings(*dataset, log, gpkg);
    if (dataset->CommitTransaction() != OGRERR_NONE) {
        fail_gpkg(gpkg, "the review log could not be committed");
    }
    CPLErrorReset();  // GDAL 3.6 reports a failing close only here
    dataset.reset();
    if (CPLGetLastErrorType() == CE_Failure) {
        fail_gpkg(gpkg, "it could not be closed");
    }
}

}  // namespace heatrow
