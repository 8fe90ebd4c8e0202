#include "decisions_table.hpp"

#include "decision_fields.hpp"
#include "gdal_guard.hpp"
#include "gdal_thread_option.hpp"
#include "gpkg_table_reader.hpp"
#include "heatrow/core/nearest_word.hpp"
#include "heatrow/io/text_table.hpp"
#include "survey_gpkg_names.hpp"
#include "survey_gpkg_schema.hpp"

#include <fmt/format.h>
#include <gdal_priv.h>
#include <ogrsf_frmts.h>

#include <algorithm>
#include <array>
#include <functional>

namespace heatrow::detail {
namespace {

namespace fs = std::filesystem;

const std::vector<std::string> kColumns{"finding", "verdict", "pattern", "comment", "work_status", "reviewer", "reviewed_utc"};

// Columns by name; other columns of the table are the reader's own and are left alone, but not slips of these.
class Columns {
  public:
    Columns(const std::vector<std::string>& header, const std::string& place) {
        for (std::size_t i = 0; i < header.size(); ++i) {
            const auto known = std::find(kColumns.begin(), kColumns.end(), header[i]);
            if (known != kColumns.end()) {
                index_[static_cast<std::size_t>(known - kColumns.begin())] = i;
            } else if (const auto nearest = nearest_word(header[i], kColumns);
                       nearest && std::find(header.begin(), header.end(), *nearest) == header.end()) {
                fail_decision(place,
                              fmt::format("the column \"{}\" is not known", header[i]),
                              fmt::format("Did you mean \"{}\"?", *nearest));
            }
        }
    }
    [[nodiscard]] bool has_what_is_needed() const { return index_[0] && index_[1]; }
    // Place of a column in the row.
    [[nodiscard]] std::optional<std::size_t> of(std::string_view name) const {
        const auto known = std::find(kColumns.begin(), kColumns.end(), name);
        return index_[static_cast<std::size_t>(known - kColumns.begin())];
    }

  private:
    std::array<std::optional<std::size_t>, 7> index_;
};

// An empty cell leaves what it names as it is; a comment is taken from its column wherever there is one.
DecisionRow row_of(const Columns& columns, std::string place, const std::function<std::string(std::size_t)>& cell_at) {
    const auto text = [&](std::string_view name) {
        const auto column = columns.of(name);
        return column ? cell_at(*column) : std::string{};
    };
    DecisionRow row;
    row.finding = text("finding");
    if (const std::string verdict = text("verdict"); !verdict.empty()) {
        row.verdict = verdict_field(place, verdict);
    }
    if (const std::string pattern = text("pattern"); !pattern.empty()) {
        row.pattern = pattern_field(place, pattern);
    }
    if (columns.of("comment")) {
        row.comment = text("comment");
    }
    if (const std::string work = text("work_status"); !work.empty()) {
        row.work = work_field(place, work);
    }
    row.reviewer = text("reviewer");
    if (const std::string time = text("reviewed_utc"); !time.empty()) {
        row.time = time_field(place, time, true);
    }
    row.place = std::move(place);
    return row;
}

[[noreturn]] void fail_columns(const std::string& place) {
    fail_decision(place, "it has not the columns finding and verdict", "See docs/formats/decisions.md");
}

bool is_blank(const DecisionRow& row) {
    return row.finding.empty() && !row.verdict && row.comment.value_or("").empty();
}

std::vector<std::string> header_of(const OGRFeatureDefn& definition) {
    std::vector<std::string> names;
    for (int i = 0; i < definition.GetFieldCount(); ++i) {
        names.emplace_back(definition.GetFieldDefn(i)->GetNameRef());
    }
    return names;
}

// Date cells come as "2026/06/20 10:00:00".
std::string cell_text(const OGRFeature& feature, std::size_t column) {
    const int index = static_cast<int>(column);
    if (!feature.IsFieldSetAndNotNull(index)) {
        return {};
    }
    std::string text = feature.GetFieldAsString(index);
    if (feature.GetFieldDefnRef(index)->GetType() == OFTDateTime && text.size() >= 19) {
        text = text.substr(0, 19);
        text[4] = text[7] = '-';
        text[10] = 'T';
    }
    return text;
}

}  // namespace

DecisionFile read_csv_decisions(const fs::path& file) {
    const TextTable table = read_text_table(file);
    const Columns columns(table.header.cells, table.place(table.header));
    if (!columns.has_what_is_needed()) {
        fail_columns(table.place(table.header));
    }
    DecisionFile decisions{file.filename().string(), {}};
    for (const TextRow& line : table.rows) {
        DecisionRow row =
            row_of(columns, table.place(line), [&line](std::size_t column) { return std::string(cell(line, column)); });
        if (!is_blank(row)) {
            decisions.rows.push_back(std::move(row));
        }
    }
    return decisions;
}

DecisionFile read_xlsx_decisions(const fs::path& file) {
    const GdalGuard gdal;
    const std::string name = file.filename().string();
    // Sheets are read when they are first asked for, so both must hold until the end.
    const ThreadOption headers("OGR_XLSX_HEADERS", "FORCE");
    const ThreadOption types("OGR_XLSX_FIELD_TYPES", "STRING");
    constexpr const char* kDrivers[] = {"XLSX", nullptr};
    const GDALDatasetUniquePtr dataset(GDALDataset::Open(file.c_str(), GDAL_OF_VECTOR | GDAL_OF_READONLY, kDrivers));
    if (!dataset) {
        fail_decision(name, "it cannot be read as a spreadsheet: " + gdal.last_error(), "Save it again as .xlsx");
    }
    for (OGRLayer* layer : dataset->GetLayers()) {
        const std::string sheet = fmt::format("{}, sheet {}", name, layer->GetName());
        const std::vector<std::string> header = header_of(*layer->GetLayerDefn());
        const auto has = [&header](const char* column) {
            return std::find(header.begin(), header.end(), column) != header.end();
        };
        if (!has("finding") || !has("verdict")) {
            continue;
        }
        const Columns columns(header, sheet);
        DecisionFile decisions{name, {}};
        for (const auto& feature : layer) {
            DecisionRow row = row_of(columns,
                                     fmt::format("{}, row {}", sheet, feature->GetFID()),
                                     [&feature](std::size_t column) { return cell_text(*feature, column); });
            if (!is_blank(row)) {
                decisions.rows.push_back(std::move(row));
            }
        }
        return decisions;
    }
    fail_columns(name);
}

DecisionFile read_gpkg_decisions(const fs::path& file) {
    const GdalGuard gdal;
    const std::string name = file.filename().string();
    constexpr const char* kDrivers[] = {"GPKG", nullptr};
    const GDALDatasetUniquePtr dataset(GDALDataset::Open(file.c_str(), GDAL_OF_VECTOR | GDAL_OF_READONLY, kDrivers));
    if (!dataset) {
        fail_decision(name, "it is no GeoPackage: " + gdal.last_error(), "Give the edited survey.gpkg");
    }
    DecisionFile decisions{name, {}};
    for (GpkgTableReader line(*dataset, findings_schema(), file); line.next();) {
        DecisionRow row;
        row.place = fmt::format("{}, findings", name);
        row.finding = line.text("finding");
        row.verdict = verdict_field(row.place, line.text("verdict"));
        const std::string pattern = line.text("reviewed_pattern");
        row.clears_pattern = pattern.empty();
        if (!pattern.empty()) {
            row.pattern = pattern_field(row.place, pattern);
        }
        row.comment = line.text("comment");
        if (const std::string work = line.text("work_status"); !work.empty()) {
            row.work = work_field(row.place, work);
        }
        row.reviewer = line.text("reviewer");
        row.time = line.time("reviewed_utc");
        decisions.rows.push_back(std::move(row));
    }
    return decisions;
}

}  // namespace heatrow::detail
