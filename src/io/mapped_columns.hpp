// Columns of a table whose heads the user may map in survey.toml.
#pragma once

#include "heatrow/io/text_table.hpp"

#include <map>
#include <optional>
#include <string>
#include <string_view>

namespace heatrow::detail {

struct ColumnNames {
    std::map<std::string, std::string> mapped;  // quantity -> head; the others stand under their own name
    std::string setting;                        // that maps them, e.g. "poses.columns"; for messages
    std::string_view what_failed;
    std::string_view remedy;  // where a column is missing and none has a similar name
};

// The column of a quantity; nothing where there is none. Throws Error(input) where it is mapped to a head that the
// table does not have.
std::optional<std::size_t> find_mapped(const TextTable& table, std::string_view quantity, const ColumnNames& names);
// The same, and an Error where there is none.
std::size_t require_mapped(const TextTable& table, std::string_view quantity, const ColumnNames& names);

}  // namespace heatrow::detail
