#include "mapped_columns.hpp"

#include "heatrow/core/error.hpp"
#include "heatrow/core/nearest_word.hpp"

#include <fmt/format.h>

namespace heatrow::detail {
namespace {

std::string lacks(const TextTable& table, std::string_view head) {
    return fmt::format("it has no column '{}'; its columns are {}", head, fmt::join(table.header.cells, ", "));
}

}  // namespace

std::optional<std::size_t> find_mapped(const TextTable& table, std::string_view quantity, const ColumnNames& names) {
    const auto mapped = names.mapped.find(std::string(quantity));
    const std::string_view head = mapped == names.mapped.end() ? quantity : std::string_view(mapped->second);
    const auto column = table.find_column(head);
    if (!column && mapped != names.mapped.end()) {
        throw Error(ErrorKind::input,
                    names.what_failed,
                    table.name,
                    lacks(table, head),
                    fmt::format("Correct {}.{}", names.setting, quantity));
    }
    return column;
}

std::size_t require_mapped(const TextTable& table, std::string_view quantity, const ColumnNames& names) {
    if (const auto column = find_mapped(table, quantity, names)) {
        return *column;
    }
    const auto nearest = nearest_word(quantity, table.header.cells);
    throw Error(
        ErrorKind::input,
        names.what_failed,
        table.name,
        lacks(table, quantity),
        nearest ? fmt::format("Is it '{}'? Name it in {}", *nearest, names.setting) : std::string(names.remedy));
}

}  // namespace heatrow::detail
