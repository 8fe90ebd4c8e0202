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

}  // namespace heatrow
