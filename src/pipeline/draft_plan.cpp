#include "draft_plan.hpp"

#include "heatrow/core/units.hpp"

#include <Eigen/Geometry>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>

namespace heatrow {
namespace {

using Eigen::Vector2d;
using Eigen::Vector3d;

struct Facing {
    double tilt_deg = 0.0;
    double azimuth_deg = 0.0;
};

// A table that lies all but flat faces what its row's right hand side says: 90 degrees to the right of it.
Facing facing_of(const JoinedTable& table) {
    const Vector3d& n = table.normal_in_site;
    const double tilt = std::atan2(n.head<2>().norm(), n.z());
    const Vector3d& r = table.right_in_site;
    const bool is_flat = in_degrees(Radians(tilt)) < 2.0;
    const Vector2d faces = is_flat ? Vector2d(r.y(), -r.x()) : Vector2d(n.x(), n.y());
    return {in_degrees(Radians(tilt)), in_degrees(wrap_full_turn(Radians(std::atan2(faces.x(), faces.y()))))};
}

double angle_between(double a_deg, double b_deg) {
    return std::abs(std::remainder(a_deg - b_deg, 360.0));
}

// A table with its place among the others.
struct NumberedTable {
    const JoinedTable* table = nullptr;
    Facing facing;
    int area = 0;
    int row = 0;
    int number = 0;
};

class TableNumbers {
  public:
    explicit TableNumbers(const std::vector<JoinedTable>& tables) {
        for (const JoinedTable& table : tables) {
            numbered_.push_back({&table, facing_of(table), 0, 0, 0});
        }
        find_areas();
        for (int area = 0; area < areas_; ++area) {
            number_area(area);
        }
        std::stable_sort(numbered_.begin(), numbered_.end(), [](const NumberedTable& a, const NumberedTable& b) {
            return std::tuple(a.area, a.row, a.number) < std::tuple(b.area, b.row, b.number);
        });
    }

    [[nodiscard]] const std::vector<NumberedTable>& tables() const { return numbered_; }

    [[nodiscard]] std::string id(const NumberedTable& table) const {
        const std::string area = areas_ == 1    ? std::string()
                                 : areas_ <= 26 ? std::string(1, static_cast<char>('A' + table.area))
                                                : fmt::format("A{}", table.area + 1);
        return fmt::format("{}R{}-T{}", area, table.row, table.number);
    }

  private:
    void find_areas() {
        constexpr double kOneWay_deg = 20.0;
        std::vector<double> azimuths;
        for (NumberedTable& table : numbered_) {
            const auto known = std::find_if(azimuths.begin(), azimuths.end(), [&](double azimuth) {
                return angle_between(azimuth, table.facing.azimuth_deg) < kOneWay_deg;
            });
            table.area = static_cast<int>(known - azimuths.begin());
            if (known == azimuths.end()) {
                azimuths.push_back(table.facing.azimuth_deg);
            }
        }
        areas_ = static_cast<int>(azimuths.size());
    }

    // Rows: tables whose middles differ less along the slope than a table is deep.
    void number_area(int area) {
        std::vector<NumberedTable*> members;
        for (NumberedTable& table : numbered_) {
            if (table.area == area) {
                members.push_back(&table);
            }
        }
        const double azimuth = degrees(members.front()->facing.azimuth_deg).value();
        const Vector2d back(-std::sin(azimuth), -std::cos(azimuth));
        const Vector2d right(back.y(), -back.x());
        const auto middle = [](const NumberedTable& table) {
            Vector2d sum = Vector2d::Zero();
            for (const JoinedModule& module : table.table->modules) {
                sum += module.centre_in_site.head<2>();
            }
            return Vector2d(sum / static_cast<double>(table.table->modules.size()));
        };
        std::stable_sort(members.begin(), members.end(), [&](const NumberedTable* a, const NumberedTable* b) {
            return middle(*a).dot(back) < middle(*b).dot(back);
        });
        constexpr double kOneRow = 0.6;  // of a table's depth
        int row = 0;
        double last = -HUGE_VAL;
        for (NumberedTable* member : members) {
            int tiers = 0;
            for (const JoinedModule& module : member->table->modules) {
                tiers = std::max(tiers, module.tier + 1);
            }
            const double at = middle(*member).dot(back);
            row += at - last > kOneRow * tiers * member->table->pitch_m.y() ? 1 : 0;
            member->row = row;
            last = at;
        }
        std::stable_sort(members.begin(), members.end(), [&](const NumberedTable* a, const NumberedTable* b) {
            return std::pair(a->row, middle(*a).dot(right)) < std::pair(b->row, middle(*b).dot(right));
        });
        int number = 0;
        for (std::size_t i = 0; i < members.size(); ++i) {
            number = i > 0 && members[i - 1]->row == members[i]->row ? number + 1 : 1;
            members[i]->number = number;
        }
    }

    std::vector<NumberedTable> numbered_;
    int areas_ = 0;
};

// Tiers by letters, A the lowest, as `layout make` counts them.
std::string place_name(int column, int tier) {
    constexpr int kLetters = 26;
    return tier < kLetters ? fmt::format("{}{:02}", static_cast<char>('A' + tier), column + 1)
                           : fmt::format("{}-{:02}", tier + 1, column + 1);
}

std::string doubt_of(const JoinedModule& module, const JoinedTable& table) {
    constexpr double kMostSeen = 0.7;
    constexpr double kSpread_m = 0.15;  // common practice, no source
    std::vector<std::string> doubts;
    if (module.seen == 1 && table.frames > 1) {
        doubts.emplace_back("seen in one frame only");
    } else if (module.seen < kMostSeen * module.expected) {
        doubts.push_back(fmt::format("seen in {} of {} frames that show its place", module.seen, module.expected));
    }
    if (!module.whole) {
        doubts.emplace_back("never whole in a picture");
    }
    if (module.spread_m > kSpread_m) {
        doubts.push_back(fmt::format("its places by single frames scatter by {:.2f} m", module.spread_m));
    }
    return fmt::format("{}", fmt::join(doubts, "; "));
}

PlannedModule plan(const JoinedModule& module, const JoinedTable& table, const ModuleType& type, const Facing& facing) {
    PlannedModule planned;
    planned.type = type.id;
    planned.tilt_deg = facing.tilt_deg;
    planned.azimuth_deg = facing.azimuth_deg;
    planned.top = table.lies ? TopEdge::left : TopEdge::up;
    const double width = (table.lies ? type.height : type.width).value();
    const double height = (table.lies ? type.width : type.height).value();
    PlaneFrame plane(facing.tilt_deg, facing.azimuth_deg);
    plane.right = table.right_in_site;
    plane.up = table.normal_in_site.cross(table.right_in_site);
    const Vector3d lower_left = module.centre_in_site - 0.5 * width * plane.right - 0.5 * height * plane.up;
    planned.corners_in_site = corners_of_place(plane, lower_left, width, height, planned.top);
    return planned;
}

void add_table_doubts(const JoinedTable& table, const std::vector<std::string>& holes, DraftedTable& drafted) {
    if (table.frames == 1) {
        drafted.doubts.emplace_back("seen in one frame only");
    }
    if (table.cut_left) {
        drafted.doubts.emplace_back("no frame shows what lies beyond its left end");
    }
    if (table.cut_right) {
        drafted.doubts.emplace_back("no frame shows what lies beyond its right end");
    }
    if (!holes.empty()) {
        drafted.doubts.push_back(fmt::format("no module at {}", fmt::join(holes, ", ")));
    }
}

}  // namespace

void plan_draft(const JoinedGrids& joined, const std::vector<ModuleType>& types, LayoutDraft& draft) {
    const TableNumbers numbers(joined.tables);
    for (const NumberedTable& numbered : numbers.tables()) {
        const JoinedTable& table = *numbered.table;
        DraftedTable drafted;
        drafted.id = numbers.id(numbered);
        drafted.frames = table.frames;
        drafted.tilt_deg = numbered.facing.tilt_deg;
        drafted.azimuth_deg = numbered.facing.azimuth_deg;
        int first = table.modules.front().column;
        int lowest = table.modules.front().tier;
        int last = first;
        for (const JoinedModule& module : table.modules) {
            first = std::min(first, module.column);
            last = std::max(last, module.column);
            drafted.tiers = std::max(drafted.tiers, module.tier - lowest + 1);
        }
        drafted.columns = last - first + 1;
        drafted.modules = static_cast<int>(table.modules.size());
        std::vector<std::string> holes;
        auto module = table.modules.begin();
        for (int tier = 0; tier < drafted.tiers; ++tier) {
            for (int column = 0; column < drafted.columns; ++column) {
                const bool here =
                    module != table.modules.end() && module->tier - lowest == tier && module->column - first == column;
                if (!here) {
                    holes.push_back(place_name(column, tier));
                    continue;
                }
                PlannedModule planned =
                    plan(*module, table, types[static_cast<std::size_t>(table.type)], numbered.facing);
                planned.id = fmt::format("{}-{}", drafted.id, place_name(column, tier));
                planned.table = drafted.id;
                planned.doubt = doubt_of(*module, table);
                draft.modules.push_back(std::move(planned));
                ++module;
            }
        }
        add_table_doubts(table, holes, drafted);
        draft.tables.push_back(std::move(drafted));
    }
}

}  // namespace heatrow
