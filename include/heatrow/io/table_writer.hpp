// A table written field by field, whatever file it becomes.
#pragma once

#include <string_view>

namespace heatrow {

class TableWriter {
  public:
    TableWriter() = default;
    TableWriter(const TableWriter&) = delete;
    TableWriter& operator=(const TableWriter&) = delete;
    virtual ~TableWriter() = default;

    virtual TableWriter& text(std::string_view value) = 0;
    // NaN and infinities become an empty field.
    virtual TableWriter& number(double value, int decimals) = 0;
    virtual TableWriter& integer(long long value) = 0;
    virtual TableWriter& empty() = 0;
    // Ends a row; the number of fields must be that of the columns.
    virtual void end_row() = 0;
};

}  // namespace heatrow
