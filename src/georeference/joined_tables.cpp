#include "joined_tables.hpp"

#include "heatrow/core/median.hpp"

#include <Eigen/Geometry>

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <set>
#include <utility>

namespace heatrow::detail {
namespace {

using Eigen::Vector3d;

std::set<std::size_t> frames_of(const JoinedScene& scene, const KnownTable& table) {
    std::set<std::size_t> frames;
    for (const std::size_t index : table.grids) {
        frames.insert(scene.grids[index].frame);
    }
    return frames;
}

// Whether a frame has a point of the site inside its picture, clear of the border.
bool shows(const JoinedScene& scene, const Lens& lens, std::size_t frame, const Vector3d& point) {
    const auto pixel = PosedCamera(lens, scene.poses[frame]).project(point);
    constexpr double kMargin = 0.06;  // of the height
    return pixel && inside_picture(lens, *pixel, kMargin * lens.height_px);
}

// Frames that show a table and have the place inside.
int expected_views(const JoinedScene& scene,
                   const Lens& lens,
                   const std::set<std::size_t>& frames,
                   const Vector3d& at) {
    return static_cast<int>(
        std::count_if(frames.begin(), frames.end(), [&](std::size_t frame) { return shows(scene, lens, frame, at); }));
}

// Frames miss a module now and then, or take ground between tables for one; what most of them do not see is none.
std::set<LatticePlace> unlikely_places(const JoinedScene& scene, const Lens& lens, const KnownTable& table) {
    constexpr double kLeastShare = 0.35;
    const std::set<std::size_t> frames = frames_of(scene, table);
    std::set<LatticePlace> places;
    for (const auto& [place, module] : table.modules) {
        if (module.seen < kLeastShare * expected_views(scene, lens, frames, module.centre_in_site)) {
            places.insert(place);
        }
    }
    return places;
}

// Grids that took ground for modules are bent by it: they are put aside where others show all of their modules.
// Whether there were any.
bool put_bent_grids_aside(JoinedScene& scene, const Lens& lens) {
    bool any = false;
    for (KnownTable& table : scene.tables) {
        const std::set<LatticePlace> unlikely = unlikely_places(scene, lens, table);
        std::map<LatticePlace, int> views;
        for (const auto& [place, module] : table.modules) {
            views[place] = module.seen;
        }
        std::erase_if(table.grids, [&](std::size_t index) {
            LaidGrid& grid = scene.grids[index];
            bool bent = false;
            bool spare = true;
            for (const LaidModule& laid : grid.modules) {
                const LatticePlace place = laid.at + grid.offset;
                bent = bent || unlikely.contains(place);
                spare = spare && (unlikely.contains(place) || views[place] > 1);
            }
            if (!bent || !spare) {
                return false;
            }
            for (const LaidModule& laid : grid.modules) {
                --views[laid.at + grid.offset];
            }
            grid.table = -1;
            any = true;
            return true;
        });
    }
    return any;
}

void drop_unlikely(JoinedScene& scene, const Lens& lens) {
    for (KnownTable& table : scene.tables) {
        for (const LatticePlace& place : unlikely_places(scene, lens, table)) {
            table.modules.erase(place);
        }
    }
    std::erase_if(scene.tables, [](const KnownTable& table) { return table.modules.empty(); });
}

// Mean distance between modules side by side in columns a and b, along the row; nothing where no tier has both.
std::optional<double> distance_along(const KnownTable& table, int a, int b) {
    double sum = 0.0;
    int count = 0;
    for (const auto& [place, module] : table.modules) {
        const auto other = table.modules.find({b, place.second});
        if (place.first == a && other != table.modules.end()) {
            sum += (other->second.centre_in_site - module.centre_in_site).dot(table.right.normalized());
            ++count;
        }
    }
    return count > 0 ? std::optional(sum / count) : std::nullopt;
}

// A gap between tables that is nearly as wide as a module passes for a column without modules; but what lies beyond it
// does not stand a whole number of steps away.
std::vector<KnownTable> split_at_gaps(const KnownTable& table) {
    std::map<int, int> column_sizes;
    for (const auto& [place, module] : table.modules) {
        ++column_sizes[place.first];
    }
    std::vector<double> steps;
    for (const auto& [column, size] : column_sizes) {
        if (const auto step = distance_along(table, column, column + 1)) {
            steps.push_back(*step);
        }
    }
    const double step = steps.empty() ? table.pitch_m.x() : take_median(steps);
    std::vector<KnownTable> parts{table};
    parts.back().modules.clear();
    std::optional<int> last;
    for (const auto& [column, size] : column_sizes) {
        constexpr double kOff_m = 0.03;  // grids that span the gap hide most of it
        const auto distance = last && column > *last + 1 ? distance_along(table, *last, column) : std::nullopt;
        if (distance && std::abs(*distance - step * (column - *last)) > kOff_m) {
            parts.push_back(parts.back());
            parts.back().modules.clear();
        }
        for (const auto& [place, module] : table.modules) {
            if (place.first == column) {
                parts.back().modules.emplace(place, module);
            }
        }
        last = column;
    }
    return parts;
}

// Plane and lattice of a table, from its modules where they span it and from the grids' own axes.
class TableFit {
  public:
    TableFit(const JoinedScene& scene, const KnownTable& known) : scene_(scene), known_(known) {
        low_ = known.modules.begin()->first;
        for (const auto& [place, module] : known.modules) {
            low_.first = std::min(low_.first, place.first);
            low_.second = std::min(low_.second, place.second);
        }
        table_.type = known.type;
        table_.lies = known.lies;
        table_.normal_in_site = known.normal.normalized();
        fit_row();
        fit_steps();
    }

    JoinedTable finish(const Lens& lens) {
        // Weighted by the modules of a grid: few modules tell their distance badly.
        std::map<LatticePlace, std::vector<std::pair<Vector3d, double>>> places;
        std::map<LatticePlace, bool> whole;
        std::set<std::size_t> frames;
        for (const std::size_t index : known_.grids) {
            const LaidGrid& grid = scene_.grids[index];
            for (const LaidModule& laid : grid.modules) {
                const LatticePlace place = laid.at + grid.offset;
                if (!known_.modules.contains(place)) {
                    continue;
                }
                frames.insert(grid.frame);
                places[place].emplace_back(scene_.centre(grid, *laid.seen), static_cast<double>(grid.modules.size()));
                whole[place] = whole[place] || laid.seen->whole;
            }
        }
        table_.frames = static_cast<int>(frames.size());
        int last = 0;
        for (const auto& [place, module] : known_.modules) {
            JoinedModule joined;
            joined.column = place.first - low_.first;
            joined.tier = place.second - low_.second;
            last = std::max(last, joined.column);
            joined.centre_in_site = table_.origin_in_site + table_.pitch_m.x() * joined.column * table_.right_in_site +
                                    table_.pitch_m.y() * joined.tier * up();
            joined.seen = module.seen;
            joined.spread_m = spread_of(places[place]);
            joined.whole = whole[place];
            joined.expected = expected_views(scene_, lens, frames, joined.centre_in_site);
            joined.expected = std::max(joined.expected, joined.seen);
            table_.modules.push_back(joined);
        }
        std::stable_sort(table_.modules.begin(), table_.modules.end(), [](const auto& a, const auto& b) {
            return std::pair(a.tier, a.column) < std::pair(b.tier, b.column);
        });
        table_.cut_left = !beyond_is_seen(lens, frames, -1);
        table_.cut_right = !beyond_is_seen(lens, frames, last + 1);
        return std::move(table_);
    }

  private:
    static double spread_of(const std::vector<std::pair<Vector3d, double>>& points) {
        Vector3d mean = Vector3d::Zero();
        double weights = 0.0;
        for (const auto& [point, weight] : points) {
            mean += weight * point;
            weights += weight;
        }
        double sum = 0.0;
        for (const auto& [point, weight] : points) {
            sum += weight * (point - mean / weights).squaredNorm();
        }
        return std::sqrt(sum / weights);
    }

    [[nodiscard]] Vector3d up() const { return table_.normal_in_site.cross(table_.right_in_site); }

    [[nodiscard]] bool beyond_is_seen(const Lens& lens, const std::set<std::size_t>& frames, int column) const {
        const Vector3d beyond = table_.origin_in_site + table_.pitch_m.x() * column * table_.right_in_site;
        return std::any_of(
            frames.begin(), frames.end(), [&](std::size_t frame) { return shows(scene_, lens, frame, beyond); });
    }

    // The row's direction: slope of the centres over columns, tier by tier, where there are three columns at least.
    void fit_row() {
        std::map<int, std::pair<Vector3d, Eigen::Vector2d>> tiers;  // sums of centre; of column, count
        for (const auto& [place, module] : known_.modules) {
            auto& [centre, counts] =
                tiers.try_emplace(place.second, Vector3d::Zero(), Eigen::Vector2d::Zero()).first->second;
            centre += module.centre_in_site;
            counts += Eigen::Vector2d(place.first, 1.0);
        }
        Vector3d along = Vector3d::Zero();
        double spread = 0.0;
        for (const auto& [place, module] : known_.modules) {
            const auto& [centre, counts] = tiers.at(place.second);
            const double column = place.first - counts.x() / counts.y();
            along += column * (module.centre_in_site - centre / counts.y());
            spread += column * column;
        }
        constexpr double kThreeColumns = 2.0;
        Vector3d right = spread >= kThreeColumns ? Vector3d(along / spread) : known_.right;
        right -= right.dot(table_.normal_in_site) * table_.normal_in_site;
        table_.right_in_site = right.normalized();
        table_.pitch_m = known_.pitch_m;
        if (spread >= kThreeColumns) {
            table_.pitch_m.x() = (along / spread).norm();
        }
    }

    // Where column 0, tier 0 lies: the mean over all modules.
    void fit_steps() {
        Vector3d sum = Vector3d::Zero();
        for (const auto& [place, module] : known_.modules) {
            sum += module.centre_in_site - table_.pitch_m.x() * (place.first - low_.first) * table_.right_in_site -
                   table_.pitch_m.y() * (place.second - low_.second) * up();
        }
        table_.origin_in_site = sum / static_cast<double>(known_.modules.size());
    }

    const JoinedScene& scene_;
    const KnownTable& known_;
    LatticePlace low_{0, 0};
    JoinedTable table_;
};

// Tables whose planes are all but parallel are parallel: one table alone tells its plane less well.
void share_planes(std::vector<KnownTable>& tables) {
    constexpr double kParallel = 0.9986;  // cosine of 3 deg
    std::vector<bool> done(tables.size(), false);
    for (std::size_t i = 0; i < tables.size(); ++i) {
        if (done[i]) {
            continue;
        }
        Vector3d sum = Vector3d::Zero();
        std::vector<std::size_t> members;
        for (std::size_t k = i; k < tables.size(); ++k) {
            if (!done[k] && tables[k].normal.normalized().dot(tables[i].normal.normalized()) > kParallel) {
                members.push_back(k);
                sum += tables[k].normal;
            }
        }
        for (const std::size_t member : members) {
            done[member] = true;
            tables[member].normal = sum;
        }
    }
}

}  // namespace

std::vector<JoinedTable> finish_tables(JoinedScene& scene,
                                       const std::vector<SeenFrame>& frames,
                                       const Lens& lens,
                                       const JoiningOptions& options) {
    if (put_bent_grids_aside(scene, lens)) {
        solve_scene(scene, frames, options);
    }
    drop_unlikely(scene, lens);
    share_planes(scene.tables);
    std::vector<JoinedTable> tables;
    for (const KnownTable& table : scene.tables) {
        for (const KnownTable& part : split_at_gaps(table)) {
            tables.push_back(TableFit(scene, part).finish(lens));
        }
    }
    return tables;
}

}  // namespace heatrow::detail
