// Values of a log's cells.
#pragma once

#include "log_table.hpp"

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace heatrow {

// Reads numbers, and knows the texts that mean "not recorded": empty, NAN, NA, N/A, NULL, -, --, ---, the codes -9999,
// -7999 and 7999 of loggers, and those that the user declares.
class ValueReader {
  public:
    explicit ValueReader(std::vector<std::string> missing) : missing_(std::move(missing)) {}

    // Nothing where nothing was recorded. Error naming line, field and value for any other text that is no number.
    [[nodiscard]] std::optional<double> read(const LogTable& table, const TextRow& row, std::size_t column) const;

  private:
    std::vector<std::string> missing_;
};

// Values of one column that cannot be true and were left out.
struct ImplausibleValues {
    std::vector<int> lines;
    std::string first;  // as written
    int kept = 0;       // values that can be true

    void leave_out(int line, std::string_view written);
};

// What a complaint about a column's values says.
struct ValueRange {
    std::string field;     // the column, as written
    std::string quantity;  // by its own name
    std::string range;     // "-0.5 to 75 m/s"
    std::string section;   // of survey.toml, where column and unit are declared
};

// A finding that counts and names them. Error where more values of the column cannot be true than can: the column is
// read wrongly then, not measured wrongly.
void report_implausible(const LogTable& table,
                        const ImplausibleValues& values,
                        const ValueRange& range,
                        std::vector<LogFinding>& findings);

}  // namespace heatrow
