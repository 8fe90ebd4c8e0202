// Names in columns of survey.gpkg, back to what they stand for.
#pragma once

#include "gpkg_table_reader.hpp"
#include "heatrow/record/survey_record.hpp"

#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace heatrow::detail {

// Indices of frames or modules by their names.
class NameIndex {
  public:
    void add(const std::string& name, int index) { index_of_[name] = index; }
    // The index of the name in a column; throws Error(input) for a name that is not there.
    [[nodiscard]] int of(const GpkgTableReader& row, const char* column) const;
    // Of the names in a column, joined by | (csv_writer.hpp).
    [[nodiscard]] std::vector<int> list_of(const GpkgTableReader& row, const char* column) const;

  private:
    [[nodiscard]] int find(const GpkgTableReader& row, const char* column, const std::string& name) const;

    std::map<std::string, int> index_of_;
};
NameIndex frames_by_name(const SurveyRecord& record);
NameIndex modules_by_name(const SurveyRecord& record);

std::optional<ControlResult::Kind> parse_control_kind(std::string_view name);
std::optional<ControlResult::Use> parse_control_use(std::string_view name);
std::optional<Placement> parse_placement(std::string_view name);
std::optional<RejectReason> parse_reject_reason(std::string_view name);
std::optional<Flag> parse_flag(std::string_view name);
// Flags joined by |.
std::optional<Flags> parse_flags(std::string_view names);
// A class of abnormality; 1 where the field is empty.
AbnormalityClass class_of(const GpkgTableReader& row, const char* column);
// All rows of the review log.
// `has_work`: with classes and where the work stands; files of format version 2 have none.
std::vector<ReviewEntry> read_review_rows(GDALDataset& dataset,
                                          const std::filesystem::path& file,
                                          bool has_work = true);

// Nothing for an empty name.
std::optional<std::optional<Pattern>> parse_pattern_or_none(std::string_view name);

}  // namespace heatrow::detail
