// Reading one table of a GeoPackage row by row, by the columns that its schema declares.
#pragma once

#include "gpkg_table.hpp"
#include "heatrow/core/error.hpp"
#include "heatrow/core/units.hpp"

#include <map>
#include <optional>

namespace heatrow::detail {

class GpkgTableReader {
  public:
    // Throws Error(input) if the table or one of its columns is missing that may not be.
    GpkgTableReader(GDALDataset& dataset, const GpkgSchema& schema, const std::filesystem::path& file);

    // Goes to the next row; false after the last one.
    bool next();

    // Fields of the row. Null or a missing column is empty, NaN or nothing.
    [[nodiscard]] std::string text(const char* column) const;
    [[nodiscard]] double real(const char* column) const;
    [[nodiscard]] std::optional<long long> integer(const char* column) const;
    [[nodiscard]] std::optional<UtcTime> time(const char* column) const;
    [[nodiscard]] std::vector<std::uint8_t> blob(const char* column) const;
    [[nodiscard]] bool yes(const char* column) const { return text(column) == "yes"; }
    [[nodiscard]] const OGRGeometry* geometry() const { return feature_->GetGeometryRef(); }

    // What a name in a column stands for; throws Error(input) where `meaning_of` knows nothing by that name.
    template <class Lookup>
    auto named(const char* column, const Lookup& meaning_of) const {
        const auto meaning = meaning_of(text(column));
        if (!meaning) {
            fail(column, "\"" + text(column) + "\" is not known");
        }
        return *meaning;
    }
    // Throws Error(input) naming table, row and column.
    [[noreturn]] void fail(const char* column, std::string_view why) const;

  private:
    [[nodiscard]] int index_of(const char* column) const;  // -1: the file does not have it
    [[nodiscard]] bool is_set(int index) const;

    const GpkgSchema& schema_;
    const std::filesystem::path& file_;
    OGRLayer* layer_;
    OGRFeatureUniquePtr feature_;
    std::map<std::string_view, int> columns_;
};

}  // namespace heatrow::detail
