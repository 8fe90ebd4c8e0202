#include "heatrow/io/survey_gpkg_review.hpp"

#include "gdal_guard.hpp"
#include "gdal_thread_option.hpp"
#include "gpkg_table.hpp"
#include "gpkg_table_reader.hpp"
#include "heatrow/core/error.hpp"
#include "heatrow/io/survey_gpkg_reader.hpp"
#include "survey_gpkg_attributes.hpp"
#include "survey_gpkg_names.hpp"
#include "survey_gpkg_rows.hpp"
#include "survey_gpkg_schema.hpp"

#include <gdal_priv.h>

#include <algorithm>
#include <cmath>
#include <functional>
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
    set_text(feature, "work_status", to_string(entry.after.work));
    set_text(feature, "reviewer", entry.reviewer);
    detail::set_time(feature, feature.GetFieldIndex("reviewed_utc"), entry.time);
}

// The file carries the time of what was decided last instead of the clock's.
std::string file_time(const std::vector<ReviewEntry>& log) {
    UtcTime latest{};
    for (const ReviewEntry& entry : log) {
        latest = std::max(latest, entry.time);
    }
    return detail::gpkg_time(std::chrono::floor<std::chrono::seconds>(latest));
}

// Changes the features of a table of which `change` says that they are to be changed.
void change_rows(GDALDataset& dataset,
                 const detail::GpkgSchema& schema,
                 const fs::path& gpkg,
                 const std::function<bool(OGRFeature&)>& change) {
    OGRLayer& layer = layer_of(dataset, schema, gpkg);
    std::vector<OGRFeatureUniquePtr> changed;
    for (auto& feature : layer) {
        if (change(*feature)) {
            changed.push_back(std::move(feature));
        }
    }
    for (const OGRFeatureUniquePtr& feature : changed) {
        if (layer.SetFeature(feature.get()) != OGRERR_NONE) {
            fail_gpkg(gpkg, std::string("a row of ") + schema.name + " could not be changed");
        }
    }
}

// Sets a field; true where it had another value.
bool set_class(OGRFeature& feature, const char* column, AbnormalityClass abnormality) {
    const int number = static_cast<int>(abnormality);
    const bool differs =
        !feature.IsFieldSetAndNotNull(feature.GetFieldIndex(column)) || feature.GetFieldAsInteger(column) != number;
    feature.SetField(column, number);
    return differs;
}

bool clear(OGRFeature& feature, const char* column) {
    const bool held = feature.IsFieldSetAndNotNull(feature.GetFieldIndex(column));
    feature.SetFieldNull(feature.GetFieldIndex(column));
    return held;
}

// Opens the file to change it, with a time of its own; `change` runs in a transaction.
void change_file(const fs::path& gpkg, const std::string& time, const std::function<void(GDALDataset&)>& change) {
    const detail::GdalGuard gdal;
    const detail::ThreadOption date("OGR_CURRENT_DATE", time);
    const detail::ThreadOption journal("OGR_SQLITE_JOURNAL", "DELETE");
    GDALDatasetUniquePtr dataset = open(gpkg, GDAL_OF_UPDATE);
    if (!dataset || dataset->StartTransaction() != OGRERR_NONE) {
        fail_gpkg(gpkg, "it could not be opened to add to its review");
    }
    change(*dataset);
    if (dataset->CommitTransaction() != OGRERR_NONE) {
        fail_gpkg(gpkg, "the review could not be committed");
    }
    CPLErrorReset();  // GDAL 3.6 reports a failing close only here
    dataset.reset();
    if (CPLGetLastErrorType() == CE_Failure) {
        fail_gpkg(gpkg, "it could not be closed");
    }
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
    bool has_work = true;
    for (detail::GpkgTableReader row(*dataset, detail::run_schema(), gpkg); row.next();) {
        if (row.text("key") == "survey") {
            kept.survey = row.text("value");
        }
        has_work = has_work && !(row.text("key") == "format_version" && row.text("value") == "2");
    }
    if (dataset->GetLayerByName(detail::review_log_schema().name) != nullptr) {
        kept.log = detail::read_review_rows(*dataset, gpkg, has_work);
    }
    return kept;
}

void append_review_log(const fs::path& gpkg, const std::vector<ReviewEntry>& log, std::size_t added) {
    std::map<std::string, const ReviewEntry*> last;
    for (const ReviewEntry& entry : log) {
        last[entry.finding] = &entry;
    }
    change_file(gpkg, file_time(log), [&](GDALDataset& dataset) {
        {
            OGRLayer& layer = layer_of(dataset, detail::review_log_schema(), gpkg);
            detail::GpkgTable table(layer, detail::review_log_schema(), gpkg);
            for (std::size_t i = log.size() - added; i < log.size(); ++i) {
                detail::write_review_row(table, log[i]);
            }
        }
        change_rows(dataset, detail::findings_schema(), gpkg, [&last](OGRFeature& feature) {
            const auto found = last.find(feature.GetFieldAsString("finding"));
            if (found != last.end()) {
                set_decision(feature, *found->second);
            }
            return found != last.end();
        });
    });
    write_standing(gpkg);
}

void write_standing(const fs::path& gpkg) {
    const SurveyRecord record = read_survey_gpkg(gpkg);
    std::map<std::string, const Finding*> findings;
    for (const Finding& finding : record.findings) {
        findings[finding.id] = &finding;
    }
    std::map<std::string, const ModuleResult*> modules;
    for (const ModuleResult& result : record.modules) {
        modules[record.layout.modules[static_cast<std::size_t>(result.module)].id] = &result;
    }
    std::map<std::string, const StringResult*> strings;
    for (const StringResult& result : record.strings) {
        strings[record.layout.strings[static_cast<std::size_t>(result.string)].id] = &result;
    }
    change_file(gpkg, file_time(record.review_log), [&](GDALDataset& dataset) {
        change_rows(dataset, detail::findings_schema(), gpkg, [&](OGRFeature& feature) {
            const Finding& finding = *findings.at(feature.GetFieldAsString("finding"));
            if (!record.as_found.contains(finding.id)) {
                const bool had_class = clear(feature, "reviewed_class");
                return clear(feature, "reviewed_delta_t_1000_k") || had_class;
            }
            set_class(feature, "reviewed_class", finding.abnormality);
            const double difference = finding.delta_t_1000.value.value();
            std::isfinite(difference) ? feature.SetField("reviewed_delta_t_1000_k", difference)
                                      : feature.SetFieldNull(feature.GetFieldIndex("reviewed_delta_t_1000_k"));
            return true;
        });
        change_rows(dataset, detail::modules_schema(), gpkg, [&](OGRFeature& feature) {
            const ModuleResult& result = *modules.at(feature.GetFieldAsString("module"));
            if (!result.assessed || !set_class(feature, "class", result.abnormality)) {
                return false;
            }
            feature.SetField("state", detail::module_state(result).c_str());
            return true;
        });
        change_rows(dataset, detail::strings_schema(), gpkg, [&](OGRFeature& feature) {
            const auto found = strings.find(feature.GetFieldAsString("string"));
            return found != strings.end() && set_class(feature, "class", found->second->abnormality);
        });
    });
}

}  // namespace heatrow
