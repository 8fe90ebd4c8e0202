#include "array_grid.hpp"

#include <algorithm>

namespace heatrow::detail {
namespace {

// A place along a row: a table from the left, a column from the left.
struct RowPlace {
    std::size_t table;
    int column;
};

int tallest(const PlacedRow& row) {
    int tiers = 0;
    for (const PlacedTable& table : row.tables) {
        tiers = std::max(tiers, table.grid.up);
    }
    return tiers;
}

// Running numbers along the lines of some columns.
class RunningNumbers {
  public:
    RunningNumbers(const PlacedRow& row, const Numbering& rule, bool from_right)
        : row_(row), rule_(rule), right_(from_right) {}

    // Calls visit(table, column, tier, number from 1) for each place of the tables given.
    template <class Visit>
    void run(const std::vector<std::size_t>& tables, Visit visit) const {
        std::vector<RowPlace> places;
        for (const std::size_t table : tables) {
            const int along = row_.tables[table].grid.along;
            for (int i = 0; i < along; ++i) {
                places.push_back({table, right_ ? along - 1 - i : i});
            }
        }
        const int tiers = tallest(row_);
        const int lines = rule_.up_first ? static_cast<int>(places.size()) : tiers;
        const int length = rule_.up_first ? tiers : static_cast<int>(places.size());
        int number = 0;
        for (int line = 0; line < lines; ++line) {
            const bool back = rule_.serpentine_lines && line % 2 == 1;
            for (int step = 0; step < length; ++step) {
                const int along_line = back ? length - 1 - step : step;
                const RowPlace& place = places[static_cast<std::size_t>(rule_.up_first ? line : along_line)];
                const TableGrid& grid = row_.tables[place.table].grid;
                const int counted = rule_.up_first ? along_line : line;
                if (counted >= grid.up) {
                    continue;
                }
                visit(place.table, place.column, rule_.start.upper ? grid.up - 1 - counted : counted, ++number);
            }
        }
    }

  private:
    const PlacedRow& row_;
    const Numbering& rule_;
    bool right_;
};

}  // namespace

void number_area(PlacedArea& area) {
    const Numbering& rule = area.description->numbering;
    const auto rows = static_cast<int>(area.rows.size());
    int area_base = 0;
    // Rows in the order of their numbers, so that {area_n} counts on from row to row.
    for (int counted = 0; counted < rows; ++counted) {
        PlacedRow& row = area.rows[static_cast<std::size_t>(rule.rows_from_back ? rows - 1 - counted : counted)];
        row.number = rule.first_row + counted;
        const bool from_right = rule.start.right != (rule.serpentine_rows && counted % 2 == 1);
        std::vector<std::size_t> order;  // tables as counted
        for (std::size_t i = 0; i < row.tables.size(); ++i) {
            order.push_back(from_right ? row.tables.size() - 1 - i : i);
        }
        IdValues values{{"area", area.description->id}, {"row", row.number}};
        std::vector<std::vector<int>> row_numbers;
        for (PlacedTable& table : row.tables) {
            table.ids.resize(static_cast<std::size_t>(table.grid.along * table.grid.up));
            row_numbers.emplace_back(table.ids.size(), 0);
        }
        const RunningNumbers numbers(row, rule, from_right);
        int in_row = 0;
        numbers.run(order, [&](std::size_t table, int column, int tier, int number) {
            row_numbers[table][row.tables[table].place(column, tier)] = number;
            in_row = number;
        });
        int places_before = 0;
        for (std::size_t i = 0; i < order.size(); ++i) {
            PlacedTable& table = row.tables[order[i]];
            values["table"] = static_cast<int>(i) + 1;
            table.id = rule.table.fill(values);
            values["table_id"] = table.id;
            numbers.run({order[i]}, [&](std::size_t, int column, int tier, int number) {
                const int counted_column = from_right ? table.grid.along - column : column + 1;
                const std::size_t place = table.place(column, tier);
                values["column"] = counted_column;
                values["place"] = places_before + counted_column;
                values["tier"] = rule.start.upper ? table.grid.up - tier : tier + 1;
                values["n"] = number;
                values["row_n"] = row_numbers[order[i]][place];
                values["area_n"] = area_base + row_numbers[order[i]][place];
                const std::string id = rule.module.fill(values);
                const auto renamed = area.description->renamed.find(id);
                table.ids[place] = renamed == area.description->renamed.end() ? id : renamed->second;
            });
            places_before += table.grid.along;
        }
        area_base += in_row;
    }
}

}  // namespace heatrow::detail
