#include "array_grid.hpp"

#include <algorithm>
#include <utility>

namespace heatrow::detail {
namespace {

using Way = std::vector<int>;  // modules in the order of the cable

// The columns of a row or of one table as the cable meets them: tier by tier from where it begins; -1: no module.
std::vector<Way> columns_of(const PlacedRow& row, std::pair<std::size_t, std::size_t> tables, const Corner& start) {
    std::vector<Way> columns;
    for (std::size_t i = tables.first; i < tables.second; ++i) {
        const PlacedTable& table = row.tables[start.right ? tables.second - 1 - (i - tables.first) : i];
        for (int c = 0; c < table.grid.along; ++c) {
            Way column;
            for (int t = 0; t < table.grid.up; ++t) {
                column.push_back(table.modules[table.place(start.right ? table.grid.along - 1 - c : c,
                                                           start.upper ? table.grid.up - 1 - t : t)]);
            }
            columns.push_back(std::move(column));
        }
    }
    return columns;
}

std::size_t tiers_of(const std::vector<Way>& columns) {
    std::size_t tiers = 0;
    for (const Way& column : columns) {
        tiers = std::max(tiers, column.size());
    }
    return tiers;
}

// The modules of one tier, in the order of the columns.
Way tier_of(const std::vector<Way>& columns, std::size_t tier) {
    Way way;
    for (const Way& column : columns) {
        if (tier < column.size() && column[tier] >= 0) {
            way.push_back(column[tier]);
        }
    }
    return way;
}

std::vector<Way> cut(const Way& way, int length) {
    std::vector<Way> pieces;
    const std::size_t step = length > 0 ? static_cast<std::size_t>(length) : std::max<std::size_t>(way.size(), 1);
    for (std::size_t i = 0; i < way.size(); i += step) {
        pieces.emplace_back(way.begin() + static_cast<std::ptrdiff_t>(i),
                            way.begin() + static_cast<std::ptrdiff_t>(std::min(i + step, way.size())));
    }
    return pieces;
}

Way leapt(const Way& way) {
    Way out;
    Way back;
    for (std::size_t i = 0; i < way.size(); ++i) {
        (i % 2 == 0 ? out : back).push_back(way[i]);
    }
    out.insert(out.end(), back.rbegin(), back.rend());
    return out;
}

Way out_and_back(const std::vector<Way>& columns) {
    Way way;
    for (std::size_t tier = 0; tier < tiers_of(columns); ++tier) {
        Way line = tier_of(columns, tier);
        if (tier % 2 == 1) {
            std::reverse(line.begin(), line.end());
        }
        way.insert(way.end(), line.begin(), line.end());
    }
    return way;
}

// Blocks of columns that hold `length` modules each (the last one what is left), each out and back.
std::vector<Way> u_ways(const std::vector<Way>& columns, int length) {
    std::vector<Way> ways;
    std::vector<Way> block;
    int held = 0;
    for (const Way& column : columns) {
        block.push_back(column);
        held += static_cast<int>(std::ranges::count_if(column, [](int module) { return module >= 0; }));
        if (length > 0 && held >= length) {
            ways.push_back(out_and_back(block));
            block.clear();
            held = 0;
        }
    }
    if (held > 0) {
        ways.push_back(out_and_back(block));
    }
    return ways;
}

std::vector<Way> ways_of(const std::vector<Way>& columns, const Wiring& wiring) {
    if (wiring.form == Wiring::Form::u) {
        return u_ways(columns, wiring.length);
    }
    std::vector<Way> ways;
    for (std::size_t tier = 0; tier < tiers_of(columns); ++tier) {
        for (const Way& way : cut(tier_of(columns, tier), wiring.length)) {
            ways.push_back(wiring.form == Wiring::Form::leapfrog ? leapt(way) : way);
        }
    }
    return ways;
}

}  // namespace

void wire_area(const PlacedArea& area, std::vector<PlannedModule>& modules) {
    const Wiring& wiring = area.description->wiring;
    if (wiring.form == Wiring::Form::none) {
        return;
    }
    int in_area = 0;
    const bool from_back = area.description->numbering.rows_from_back;
    for (std::size_t i = 0; i < area.rows.size(); ++i) {
        const PlacedRow& row = area.rows[from_back ? area.rows.size() - 1 - i : i];
        int in_row = 0;
        const std::size_t parts = wiring.over_tables ? 1 : row.tables.size();
        for (std::size_t k = 0; k < parts; ++k) {
            // Tables wired by themselves follow each other from where the way begins.
            const std::size_t table = wiring.start.right ? row.tables.size() - 1 - k : k;
            const auto range =
                wiring.over_tables ? std::pair(std::size_t{0}, row.tables.size()) : std::pair(table, table + 1);
            for (Way& way : ways_of(columns_of(row, range, wiring.start), wiring)) {
                if (!wiring.positive_at_start) {
                    std::reverse(way.begin(), way.end());
                }
                const IdValues values{{"area", area.description->id},
                                      {"row", row.number},
                                      {"string", ++in_row},
                                      {"n", in_area + 1},
                                      {"group", in_area / wiring.group + 1},
                                      {"in_group", in_area % wiring.group + 1}};
                ++in_area;
                const std::string id = wiring.string.fill(values);
                const StringHome home{
                    wiring.combiner.fill(values), wiring.inverter.fill(values), wiring.input.fill(values)};
                for (std::size_t m = 0; m < way.size(); ++m) {
                    PlannedModule& module = modules[static_cast<std::size_t>(way[m])];
                    module.string = id;
                    module.position = static_cast<int>(m) + 1;
                    module.home = home;
                }
            }
        }
    }
}

}  // namespace heatrow::detail
