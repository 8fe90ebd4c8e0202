#include "gpkg_table_reader.hpp"

#include <fmt/format.h>

#include <cassert>
#include <cmath>

namespace heatrow::detail {
namespace {

constexpr std::string_view kFailed = "cannot read the record";

}  // namespace

GpkgTableReader::GpkgTableReader(GDALDataset& dataset, const GpkgSchema& schema, const std::filesystem::path& file)
    : schema_(schema), file_(file), layer_(dataset.GetLayerByName(schema.name)) {
    constexpr std::string_view kRemedy = "Run 'heatrow analyse' again with this version";
    if (layer_ == nullptr) {
        throw Error(ErrorKind::input, kFailed, file.string(), fmt::format("it has no table {}", schema.name), kRemedy);
    }
    for (const GpkgColumn& column : schema.columns) {
        const int index = layer_->GetLayerDefn()->GetFieldIndex(column.name);
        if (index < 0 && !column.may_be_missing) {
            throw Error(ErrorKind::input,
                        kFailed,
                        file.string(),
                        fmt::format("its table {} has no column {}", schema.name, column.name),
                        kRemedy);
        }
        columns_[column.name] = index;
    }
    layer_->ResetReading();
}

bool GpkgTableReader::next() {
    feature_.reset(layer_->GetNextFeature());
    return feature_ != nullptr;
}

int GpkgTableReader::index_of(const char* column) const {
    assert(columns_.contains(column));
    return columns_.at(column);
}

bool GpkgTableReader::is_set(int index) const {
    return index >= 0 && feature_->IsFieldSetAndNotNull(index);
}

std::string GpkgTableReader::text(const char* column) const {
    const int index = index_of(column);
    return is_set(index) ? feature_->GetFieldAsString(index) : "";
}

double GpkgTableReader::real(const char* column) const {
    const int index = index_of(column);
    return is_set(index) ? feature_->GetFieldAsDouble(index) : kNaN;
}

std::optional<long long> GpkgTableReader::integer(const char* column) const {
    const int index = index_of(column);
    return is_set(index) ? std::optional<long long>(feature_->GetFieldAsInteger64(index)) : std::nullopt;
}

std::optional<UtcTime> GpkgTableReader::time(const char* column) const {
    const int index = index_of(column);
    int year = 0;
    int month = 0;
    int day = 0;
    int hour = 0;
    int minute = 0;
    float second = 0.0F;
    int zone = 0;
    if (!is_set(index) ||
        feature_->GetFieldAsDateTime(index, &year, &month, &day, &hour, &minute, &second, &zone) == 0) {
        return std::nullopt;
    }
    const std::chrono::year_month_day date{std::chrono::year(year),
                                           std::chrono::month(static_cast<unsigned>(month)),
                                           std::chrono::day(static_cast<unsigned>(day))};
    return std::chrono::sys_days(date) + std::chrono::hours(hour) + std::chrono::minutes(minute) +
           std::chrono::milliseconds(std::lround(1000.0 * double{second}));
}

std::vector<std::uint8_t> GpkgTableReader::blob(const char* column) const {
    const int index = index_of(column);
    if (!is_set(index)) {
        return {};
    }
    int size = 0;
    const GByte* bytes = feature_->GetFieldAsBinary(index, &size);
    return {bytes, bytes + size};
}

void GpkgTableReader::fail(const char* column, std::string_view why) const {
    throw Error(ErrorKind::input,
                kFailed,
                fmt::format("{}, table {}, row {} ({}), column {}",
                            file_.string(),
                            schema_.name,
                            feature_->GetFID(),
                            text(schema_.columns.front().name),
                            column),
                why,
                "Restore the file, or run 'heatrow analyse' again");
}

}  // namespace heatrow::detail
