// The shape of a log: where its heads end and its rows begin. Shared by the conditions and the electrical reader.
#pragma once

#include "heatrow/core/error.hpp"
#include "heatrow/sun/log_finding.hpp"
#include "heatrow/io/text_table.hpp"

#include <cstddef>
#include <map>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace heatrow {

// One column's head, whatever rows its parts stood in.
struct LogHead {
    std::string written;     // the cell of the names row as it stands
    std::string name;        // without a unit in brackets
    std::string unit;        // from the brackets or from a units row; empty where none is written
    std::string processing;  // of a TOA5 head: "Avg", "Smp", ...
};

struct LogTable {
    TextTable text;  // name, dialect; rows are taken out of it
    std::vector<LogHead> heads;
    int heads_line = 0;         // of the names row
    std::vector<TextRow> rows;  // data rows, all as long as the heads
    bool is_toa5 = false;

    // Column whose head is written like this, or whose name without unit is; Error (kind input) if two are.
    [[nodiscard]] std::optional<std::size_t> find(std::string_view head) const;
    // The heads in quotes, for messages.
    [[nodiscard]] std::string list_heads() const;
    [[nodiscard]] std::string place(const TextRow& row, std::size_t column) const;
};

// Finds heads (one row; a units row below it; a TOA5 head of four rows; lines before them are skipped and counted) and
// checks the rows' lengths: a short last row is left out and counted, any other is an Error naming line and counts.
LogTable read_log_table(TextTable table, std::vector<LogFinding>& findings);

// "line 7", "lines 7, 9, 12 and 31 more".
std::string list_lines(std::span<const int> lines);

[[noreturn]] void refuse_log(std::string_view where, std::string_view why, std::string_view remedy);

}  // namespace heatrow
