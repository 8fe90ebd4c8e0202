#include "heatrow/georeference/layout_conflict.hpp"

#include "heatrow/core/median.hpp"
#include "heatrow/georeference/naming.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <utility>

namespace heatrow {

namespace {

using Eigen::Vector3d;

// Own choices.
constexpr double kConflict = 0.25;       // of a pitch: further off, a name would be that of the neighbour or nearly so
constexpr double kAgree = 0.15;          // of a pitch, of two tables or of two frames
constexpr int kLeastFrames = 2;          // that show two tables together
constexpr double kMostFrames = 0.6;      // of those that show two tables, agree about them
constexpr int kLeastOff = 3;             // frames that show a table off beside others
constexpr double kLeastShareOff = 0.25;  // of the frames that show it beside others
// A lock leaves 0.1 to 0.5 px where the layout is right, and is refused above 1.2 px.
constexpr double kPoorRmsPx = 0.5;
constexpr double kFewLocked = 0.75;
constexpr double kOneShift = 0.8;  // of those, that agree where it is

double wrapped(double pitches) {
    return pitches - std::floor(pitches + 0.5);
}

// Where table `to` is from where `from` has it, by all frames that show both.
struct Link {
    int from = 0;
    int to = 0;
    double along = 0.0;
    int frames = 0;
};

// The value that most agree about, and how many do.
std::pair<double, int> most_common(const std::vector<double>& each) {
    std::pair<double, int> best{0.0, 0};
    for (const double centre : each) {
        std::vector<double> about;
        for (const double one : each) {
            if (const double off = wrapped(one - centre); std::abs(off) < kAgree) {
                about.push_back(off);
            }
        }
        if (static_cast<int>(about.size()) > best.second) {
            best.second = static_cast<int>(about.size());
            best.first = wrapped(centre + take_median(about));
        }
    }
    return best;
}

std::vector<Link> find_links(std::span<const SlotRecord> records) {
    std::map<std::pair<int, int>, std::vector<double>> differences;
    for (const SlotRecord& record : records) {
        for (const TableShift& from : record.table_shifts) {
            for (const TableShift& to : record.table_shifts) {
                if (from.table < to.table && std::isfinite(from.along) && std::isfinite(to.along)) {
                    differences[{from.table, to.table}].push_back(wrapped(to.along - from.along));
                }
            }
        }
    }
    std::vector<Link> links;
    for (const auto& [tables, each] : differences) {
        const auto [along, frames] = most_common(each);
        if (frames >= kLeastFrames && frames > kMostFrames * static_cast<double>(each.size())) {
            links.push_back({tables.first, tables.second, along, frames});
        }
    }
    // What most frames show goes first.
    std::stable_sort(links.begin(), links.end(), [](const Link& a, const Link& b) { return a.frames > b.frames; });
    return links;
}

// Tables that hang together, and where they are from where the first has them.
std::vector<std::map<int, double>> find_groups(const std::vector<Link>& links) {
    std::vector<std::map<int, double>> groups;
    const auto group_of = [&groups](int table) {
        return std::find_if(groups.begin(), groups.end(), [table](const auto& group) { return group.contains(table); });
    };
    for (const Link& link : links) {
        for (const int table : {link.from, link.to}) {
            if (group_of(table) == groups.end()) {
                groups.push_back({{table, 0.0}});
            }
        }
        const auto into = group_of(link.from);
        const auto other = group_of(link.to);
        if (into == other) {
            continue;
        }
        const double offset = into->at(link.from) + link.along - other->at(link.to);
        for (const auto& [table, along] : *other) {
            into->emplace(table, wrapped(along + offset));
        }
        groups.erase(other);
    }
    return groups;
}

// Those that agree about their place, if they are the majority of the group.
std::set<int> right_tables(const std::map<int, double>& group) {
    std::set<int> most;
    for (const auto& [centre_table, centre] : group) {
        std::set<int> agreeing;
        for (const auto& [table, along] : group) {
            if (std::abs(wrapped(along - centre)) < kAgree) {
                agreeing.insert(table);
            }
        }
        if (agreeing.size() > most.size()) {
            most = std::move(agreeing);
        }
    }
    return 2 * most.size() > group.size() ? most : std::set<int>{};
}

// Of one table, from the tables that are right, by each frame that shows both; NaN where no shift tells.
std::map<int, std::vector<double>> find_deviations(std::span<const SlotRecord> records, const std::set<int>& right) {
    std::map<int, std::vector<double>> deviations;
    for (const SlotRecord& record : records) {
        for (const TableShift& one : record.table_shifts) {
            std::vector<double> from_others;
            for (const TableShift& other : record.table_shifts) {
                if (other.table != one.table && right.contains(other.table) && std::isfinite(other.along)) {
                    from_others.push_back(std::isfinite(one.along) ? wrapped(one.along - other.along) : kNaN);
                }
            }
            if (!from_others.empty()) {
                const double first = from_others.front();
                for (double& deviation : from_others) {
                    deviation = wrapped(deviation - first);
                }
                deviations[one.table].push_back(wrapped(first + take_median(from_others)));
            }
        }
    }
    return deviations;
}

// A way east that leads past all of the layout and out of every picture of it.
Vector3d beyond(const Layout& layout) {
    constexpr double kFar_m = 500.0;
    double west = 0.0;
    double east = 0.0;
    for (const Module& module : layout.modules) {
        west = std::min(west, module.corners_in_site.front().x());
        east = std::max(east, module.corners_in_site.front().x());
    }
    return {east - west + kFar_m, 0.0, 0.0};
}

// Nothing where the table is where it is drawn.
std::optional<LayoutConflict> conflict_of(int table, const std::vector<double>& deviations) {
    const auto off =
        std::count_if(deviations.begin(), deviations.end(), [](double one) { return !(std::abs(one) <= kAgree); });
    if (off < kLeastOff || static_cast<double>(off) < kLeastShareOff * static_cast<double>(deviations.size())) {
        return std::nullopt;
    }
    const auto [along, agreeing] = most_common(deviations);
    const bool one_shift = static_cast<double>(agreeing) >= kOneShift * static_cast<double>(deviations.size());
    if (one_shift && std::abs(along) < kConflict) {
        return std::nullopt;
    }
    return LayoutConflict{table, one_shift ? along : kNaN, static_cast<int>(off)};
}

}  // namespace

LayoutConflicts find_layout_conflicts(std::span<const SlotRecord> records) {
    const std::vector<Link> links = find_links(records);
    LayoutConflicts conflicts;
    std::set<int> compared;
    std::set<int> right;
    std::set<int> open;  // of groups without a majority
    for (const std::map<int, double>& group : find_groups(links)) {
        const std::set<int> most = right_tables(group);
        right.insert(most.begin(), most.end());
        for (const auto& [table, along] : group) {
            compared.insert(table);
            if (most.empty()) {
                open.insert(table);
            }
        }
    }
    for (const int table : open) {
        conflicts.tables.push_back({table, kNaN, 0});
    }
    for (const auto& [table, deviations] : find_deviations(records, right)) {
        compared.insert(table);
        if (const auto conflict = open.contains(table) ? std::nullopt : conflict_of(table, deviations)) {
            conflicts.tables.push_back(*conflict);
        }
    }
    conflicts.compared = static_cast<int>(compared.size());
    std::sort(conflicts.tables.begin(), conflicts.tables.end(), [](const LayoutConflict& a, const LayoutConflict& b) {
        return a.table < b.table;
    });
    return conflicts;
}

std::optional<PoorFit> find_poor_fit(std::span<const SlotRecord> locked, int not_locked) {
    std::vector<double> rms_px;
    for (const SlotRecord& record : locked) {
        if (record.expected_position_in_site.allFinite() && std::isfinite(record.lock_rms_px)) {
            rms_px.push_back(record.lock_rms_px);
        }
    }
    const double frames = static_cast<double>(rms_px.size()) + not_locked;
    PoorFit fit{static_cast<int>(rms_px.size()), not_locked, rms_px.empty() ? kNaN : take_median(rms_px)};
    return fit.rms_px > kPoorRmsPx && fit.locked < kFewLocked * frames ? std::optional(fit) : std::nullopt;
}

std::optional<Layout> move_tables(const Layout& layout, const LayoutConflicts& conflicts, const Vector3d& pitch_along) {
    if (conflicts.tables.empty()) {
        return std::nullopt;
    }
    const Vector3d out_of_sight = beyond(layout);
    Layout moved = layout;
    for (const LayoutConflict& conflict : conflicts.tables) {
        const Vector3d by = std::isfinite(conflict.along) ? Vector3d(conflict.along * pitch_along) : out_of_sight;
        for (const int module : layout.tables[static_cast<std::size_t>(conflict.table)].modules) {
            for (Vector3d& corner : moved.modules[static_cast<std::size_t>(module)].corners_in_site) {
                corner += by;
            }
        }
    }
    return moved;
}

bool is_in_conflict(const Layout& layout, int module, const LayoutConflicts& conflicts) {
    const int table = layout.modules[static_cast<std::size_t>(module)].table;
    const auto at = std::lower_bound(
        conflicts.tables.begin(), conflicts.tables.end(), table, [](const LayoutConflict& conflict, int wanted) {
            return conflict.table < wanted;
        });
    return at != conflicts.tables.end() && at->table == table;
}

void leave_open(const LayoutIndex& site, const LayoutConflicts& conflicts, std::span<PlacedView> views) {
    for (PlacedView& view : views) {
        if (!is_in_conflict(site.layout(), view.module, conflicts)) {
            continue;
        }
        view.placement = Placement::ambiguous;
        for (const int step : {-1, 1}) {
            if (const std::optional<int> other = module_at(site, view.module, {step, 0})) {
                view.candidates.push_back(*other);
            }
        }
        std::sort(view.candidates.begin(), view.candidates.end());
        view.candidates.erase(std::unique(view.candidates.begin(), view.candidates.end()), view.candidates.end());
    }
}

}  // namespace heatrow
