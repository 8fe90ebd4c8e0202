#include "heatrow/site/array_description.hpp"

#include "array_grid.hpp"
#include "heatrow/core/nearest_word.hpp"

#include <algorithm>
#include <set>

namespace heatrow {
namespace {

using detail::fail_array;
using detail::PlacedArea;
using detail::PlacedTable;

std::string quoted(std::string_view id) {
    return "\"" + std::string(id) + "\"";
}

class ArrayMaker {
  public:
    ArrayMaker(const ArrayDescription& description, const TypeSizes& sizes)
        : description_(description), sizes_(sizes) {}

    std::vector<PlannedModule> make() {
        for (const ArrayArea& area : description_.areas) {
            areas_.push_back(detail::place_area(description_, area, sizes_));
            require_bearable(areas_.back());
            detail::number_area(areas_.back());
            require_known_places(areas_.back());
            add_modules(areas_.back());
        }
        require_unique();
        for (const PlacedArea& area : areas_) {
            detail::wire_area(area, modules_);
        }
        for (const ListedString& string : description_.strings) {
            add_string(string);
        }
        require_unique_strings();
        return std::move(modules_);
    }

  private:
    // A slip in a count must not fill the memory.
    void require_bearable(const PlacedArea& area) {
        constexpr double kMostPlaces = 2e6;
        for (const auto& row : area.rows) {
            for (const PlacedTable& table : row.tables) {
                places_ += static_cast<double>(table.grid.along) * table.grid.up;
            }
        }
        if (places_ > kMostPlaces) {
            fail_array(description_,
                       "area " + quoted(area.description->id),
                       "the array would have more than two million modules",
                       "Check rows, tables, along and up, also in 'change'");
        }
    }

    // Every id that `missing` and `renamed` speak of is one of the area's places.
    void require_known_places(const PlacedArea& area) const {
        std::vector<std::string> ids;
        for (const auto& row : area.rows) {
            for (const PlacedTable& table : row.tables) {
                ids.insert(ids.end(), table.ids.begin(), table.ids.end());
            }
        }
        std::sort(ids.begin(), ids.end());
        const auto require = [&](const std::string& id, std::string_view key) {
            if (std::binary_search(ids.begin(), ids.end(), id)) {
                return;
            }
            const auto nearest = nearest_word(id, ids);
            fail_array(description_,
                       "area " + quoted(area.description->id) + ", " + std::string(key),
                       "there is no module " + quoted(id),
                       nearest ? "Did you mean " + quoted(*nearest) + "?"
                               : "Its modules run from " + quoted(ids.front()) + " to " + quoted(ids.back()));
        };
        for (const std::string& id : area.description->missing) {
            require(id, "missing");
        }
        for (const auto& [from, to] : area.description->renamed) {
            require(to, "renamed, " + quoted(from));
        }
    }

    void add_modules(PlacedArea& placed) {
        const ArrayArea& area = *placed.description;
        const TypeSize place = detail::place_size(sizes_.find(area.type)->second, area.top);
        const std::set<std::string> missing(area.missing.begin(), area.missing.end());
        for (auto& row : placed.rows) {
            for (PlacedTable& table : row.tables) {
                const PlaneFrame plane(table.tilt_deg, table.azimuth_deg);
                table.modules.assign(table.ids.size(), -1);
                for (int tier = 0; tier < table.grid.up; ++tier) {
                    for (int column = 0; column < table.grid.along; ++column) {
                        const std::size_t index = table.place(column, tier);
                        if (missing.contains(table.ids[index])) {
                            continue;
                        }
                        const Eigen::Vector3d corner = table.lower_left +
                                                       column * (place.width_m + area.gap_along_m) * plane.right +
                                                       tier * (place.height_m + area.gap_up_m) * plane.up;
                        table.modules[index] = static_cast<int>(modules_.size());
                        PlannedModule module;
                        module.id = table.ids[index];
                        module.type = area.type;
                        module.table = table.id;
                        module.tilt_deg = table.tilt_deg;
                        module.azimuth_deg = table.azimuth_deg;
                        module.top = area.top;
                        module.corners_in_site =
                            corners_of_place(plane, corner, place.width_m, place.height_m, area.top);
                        modules_.push_back(std::move(module));
                    }
                }
            }
        }
    }

    void require_unique() {
        std::set<std::string> tables;
        for (const PlacedArea& area : areas_) {
            const std::string where = "area " + quoted(area.description->id) + ", numbering";
            for (const auto& row : area.rows) {
                for (const PlacedTable& table : row.tables) {
                    if (!tables.insert(table.id).second) {
                        fail_array(description_,
                                   where,
                                   "the id " + quoted(table.id) + " is given to two tables",
                                   "Let its pattern name {area}, {row} and {table}");
                    }
                }
            }
            for (const auto& row : area.rows) {
                for (const PlacedTable& table : row.tables) {
                    for (std::size_t i = 0; i < table.ids.size(); ++i) {
                        if (table.modules[i] >= 0 && !index_of_.emplace(table.ids[i], table.modules[i]).second) {
                            fail_array(description_,
                                       where,
                                       "the id " + quoted(table.ids[i]) + " is given to two modules",
                                       "Let its pattern name {table_id} and {tier}, {column}, or {area_n}");
                        }
                    }
                }
            }
        }
    }

    [[nodiscard]] int index_of(const ListedString& string, const std::string& id) const {
        const auto found = index_of_.find(id);
        if (found == index_of_.end()) {
            std::vector<std::string> ids;
            for (const auto& [known, index] : index_of_) {
                ids.push_back(known);
            }
            const auto nearest = nearest_word(id, ids);
            fail_array(description_,
                       "string " + quoted(string.id),
                       "there is no module " + quoted(id),
                       nearest ? "Did you mean " + quoted(*nearest) + "?" : "Ids are those that the areas give");
        }
        return found->second;
    }

    // "A..B": the modules between two of one line of a table, both included.
    void add_range(const ListedString& string, const std::string& from, const std::string& to, std::vector<int>& way) {
        const int first = index_of(string, from);
        const int last = index_of(string, to);
        for (const PlacedArea& area : areas_) {
            for (const auto& row : area.rows) {
                for (const PlacedTable& table : row.tables) {
                    const auto a = std::ranges::find(table.modules, first);
                    const auto b = std::ranges::find(table.modules, last);
                    if (a == table.modules.end() || b == table.modules.end()) {
                        continue;
                    }
                    const auto p = static_cast<int>(a - table.modules.begin());
                    const auto q = static_cast<int>(b - table.modules.begin());
                    const int along = table.grid.along;
                    if (p / along != q / along && p % along != q % along) {
                        continue;
                    }
                    const int step = (p / along == q / along ? 1 : along) * (p <= q ? 1 : -1);
                    for (int i = p; i != q + step; i += step) {
                        if (const int module = table.modules[static_cast<std::size_t>(i)]; module >= 0) {
                            way.push_back(module);
                        }
                    }
                    return;
                }
            }
        }
        fail_array(description_,
                   "string " + quoted(string.id),
                   quoted(from) + " and " + quoted(to) + " are not in one line of a table",
                   "List the modules, or write a range for each line");
    }

    void add_string(const ListedString& string) {
        std::vector<int> way;
        for (const std::string& item : string.modules) {
            const auto dots = item.find("..");
            if (dots == std::string::npos || index_of_.contains(item)) {
                way.push_back(index_of(string, item));
            } else {
                add_range(string, item.substr(0, dots), item.substr(dots + 2), way);
            }
        }
        if (!string.positive_at_start) {
            std::reverse(way.begin(), way.end());
        }
        for (std::size_t i = 0; i < way.size(); ++i) {
            PlannedModule& module = modules_[static_cast<std::size_t>(way[i])];
            if (!module.string.empty()) {
                fail_array(description_,
                           "string " + quoted(string.id),
                           "module " + quoted(module.id) + " is in string " + quoted(module.string) + " already",
                           "Each module is in one string, once");
            }
            module.string = string.id;
            module.position = static_cast<int>(i) + 1;
            module.home = string.home;
        }
    }

    // Two ways under one id would share their positions.
    void require_unique_strings() const {
        std::set<std::pair<std::string, int>> taken;
        for (const PlannedModule& module : modules_) {
            if (!module.string.empty() && !taken.emplace(module.string, module.position).second) {
                fail_array(description_,
                           "string " + quoted(module.string),
                           "the id is given to two strings",
                           "Let its pattern name {area}, {row} and {string}, or {n}");
            }
        }
    }

    const ArrayDescription& description_;
    const TypeSizes& sizes_;
    std::vector<PlacedArea> areas_;
    std::vector<PlannedModule> modules_;
    std::map<std::string, int> index_of_;
    double places_ = 0.0;  // with and without a module
};

}  // namespace

std::vector<PlannedModule> make_array(const ArrayDescription& description, const TypeSizes& sizes) {
    return ArrayMaker(description, sizes).make();
}

}  // namespace heatrow
