#include "lattice_votes.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <optional>

namespace heatrow::detail {

namespace {

using Eigen::Vector2d;

constexpr double kSameSide =
    0.25;  // of a module's short side in the picture: two centres nearer than that are one place
// Share of places without a side that are judged to show one: shadows, texture of the ground, cell gaps (own choice).
constexpr double kFoundByChance = 0.1;
// One witness says no more than this, natural log units (own choice: an animal, a bush or a replaced module may stand
// at any row end).
constexpr double kMostVote = 5.0;
constexpr double kBorderPx = 6.0;
// Own choices: a table contradicts the picture if it shows this much less of its sides than the best table does; both
// judged by a handful of sides at least.
constexpr double kContradicts = 0.65;
constexpr double kLeastSides = 8.0;
constexpr int kSidesForJudge = 96;

// Things that hang together: each points to an earlier one of its group, the first to itself.
class Groups {
  public:
    explicit Groups(std::size_t count) : earlier_(count) {
        std::iota(earlier_.begin(), earlier_.end(), std::size_t{0});
    }
    [[nodiscard]] std::size_t head(std::size_t i) const {
        while (earlier_[i] != i) {
            i = earlier_[i];
        }
        return i;
    }
    void join(int a, int b) {
        const std::size_t head_a = head(static_cast<std::size_t>(a));
        const std::size_t head_b = head(static_cast<std::size_t>(b));
        earlier_[std::max(head_a, head_b)] = std::min(head_a, head_b);
    }

  private:
    std::vector<std::size_t> earlier_;
};

// Place of a module in an ascending list; -1 where it is not in it.
int place_in(const std::vector<int>& modules, int module) {
    const auto at = std::lower_bound(modules.begin(), modules.end(), module);
    return at != modules.end() && *at == module ? static_cast<int>(at - modules.begin()) : -1;
}

}  // namespace

LatticeVoter::LatticeVoter(const LayoutIndex& site,
                           const Lens& lens,
                           const FramePose& locked,
                           BandProber& prober,
                           const Eigen::Vector3d& camera_motion)
    : site_(site),
      lens_(lens),
      motion_(camera_motion),
      locked_(view_at(locked)),
      judge_(
          prober,
          predict_lines(site, PosedCamera(lens, locked), locked_.modules, kBorderPx, kSidesForJudge, camera_motion)) {}

FramePose LatticeVoter::at(int along, int across) const {
    FramePose pose = locked_.pose;
    pose.position_in_site += along * site_.pitch_along() + across * site_.pitch_across();
    return pose;
}

LatticeVoter::View LatticeVoter::view_at(const FramePose& pose) const {
    View view;
    view.pose = pose;
    const PosedCamera camera(lens_, pose);
    for (const int module : modules_in_view(site_, camera, Metres(0.0))) {
        if (const std::optional<Vector2d> centre = camera.project(site_.centre_in_site(module))) {
            view.modules.push_back(module);
            view.centres_px.push_back(*centre);
        }
    }
    return view;
}

std::vector<int> LatticeVoter::alone(const View& view, const View& other) const {
    const PosedCamera camera(lens_, view.pose);
    std::vector<int> modules;
    for (std::size_t i = 0; i < view.modules.size(); ++i) {
        const int module = view.modules[i];
        const double pixel_m = camera.ground_sample_distance(site_.centre_in_site(module)).value();
        const double reach = kSameSide * site_.layout().type_of(site_.module(module)).width.value() / pixel_m;
        const bool has_twin = std::any_of(other.centres_px.begin(), other.centres_px.end(), [&](const Vector2d& c) {
            return (c - view.centres_px[i]).squaredNorm() < reach * reach;
        });
        if (!has_twin) {
            modules.push_back(module);
        }
    }
    return modules;
}

double LatticeVoter::side_says(const PosedCamera& camera, const BandEdge& edge) {
    lines_.clear();
    add_lines(camera, edge, kBorderPx, motion_, lines_);
    if (lines_.empty()) {
        return 0.0;
    }
    double found = 0.0;
    for (const PredictedLine& line : lines_) {
        found += judge_.shows_side(line) ? 1.0 : 0.0;
    }
    // Strips of one side share its fate: together they count as one.
    const double share = found / static_cast<double>(lines_.size());
    const double usual = judge_.usual_share(edge.neighbour < 0);
    return share * std::log(usual / kFoundByChance) + (1.0 - share) * std::log((1.0 - usual) / (1.0 - kFoundByChance));
}

double LatticeVoter::side_says_at_lock(const PosedCamera& camera, const BandEdge& edge) {
    const auto [at, first_asked] = said_.try_emplace(&edge, 0.0);
    if (first_asked) {
        at->second = side_says(camera, edge);
    }
    return at->second;
}

std::vector<LatticeVoter::Witness> LatticeVoter::witnesses(const View& view, const std::vector<int>& modules) {
    const PosedCamera camera(lens_, view.pose);
    Groups groups(modules.size());  // neighbours belong to one witness
    std::vector<double> says(modules.size(), 0.0);
    for (const int module : view.modules) {
        for (const BandEdge& edge : site_.edges_of(module)) {
            const int own = place_in(modules, edge.module);
            const int beyond = edge.neighbour >= 0 ? place_in(modules, edge.neighbour) : own;
            // A side shared with a module that both places have is a free side at the other place.
            if (own < 0 || beyond < 0) {
                continue;
            }
            groups.join(own, beyond);
            says[static_cast<std::size_t>(own)] +=
                &view == &locked_ ? side_says_at_lock(camera, edge) : side_says(camera, edge);
        }
    }
    std::vector<Witness> found;
    std::vector<double> most(modules.size(), 0.0);
    std::vector<Witness> by_head(modules.size());
    for (std::size_t i = 0; i < modules.size(); ++i) {
        const std::size_t h = groups.head(i);
        by_head[h].says += says[i];
        if (by_head[h].module < 0 || std::abs(says[i]) > most[h]) {
            by_head[h].module = modules[i];
            most[h] = std::abs(says[i]);
        }
    }
    for (const Witness& one : by_head) {
        if (one.module >= 0 && one.says != 0.0) {
            found.push_back({one.module, std::clamp(one.says, -kMostVote, kMostVote)});
        }
    }
    return found;
}

std::vector<int> LatticeVoter::contradicted() {
    const std::vector<int>& modules = locked_.modules;
    const PosedCamera camera(lens_, locked_.pose);
    Groups tables(modules.size());
    std::vector<double> shown(modules.size(), 0.0);
    std::vector<double> probed(modules.size(), 0.0);
    std::vector<PredictedLine> lines;
    for (const int module : modules) {
        for (const BandEdge& edge : site_.edges_of(module)) {
            const int own = place_in(modules, edge.module);
            if (const int beyond = edge.neighbour >= 0 ? place_in(modules, edge.neighbour) : -1; beyond >= 0) {
                tables.join(own, beyond);
            }
            lines.clear();
            add_lines(camera, edge, kBorderPx, motion_, lines);
            if (!lines.empty()) {
                probed[static_cast<std::size_t>(own)] += 1.0;
                shown[static_cast<std::size_t>(own)] += judge_.shows_edge(lines[lines.size() / 2]) ? 1.0 : 0.0;
            }
        }
    }
    std::vector<double> shown_by_table(modules.size(), 0.0);
    std::vector<double> probed_by_table(modules.size(), 0.0);
    for (std::size_t i = 0; i < modules.size(); ++i) {
        shown_by_table[tables.head(i)] += shown[i];
        probed_by_table[tables.head(i)] += probed[i];
    }
    const auto share_of = [&](std::size_t table) {
        return probed_by_table[table] >= kLeastSides ? shown_by_table[table] / probed_by_table[table] : kNaN;
    };
    double best = 0.0;
    for (std::size_t i = 0; i < modules.size(); ++i) {
        best = std::fmax(best, share_of(tables.head(i)));
    }
    std::vector<int> doubtful;
    for (std::size_t i = 0; i < modules.size(); ++i) {
        if (share_of(tables.head(i)) < kContradicts * best) {
            doubtful.push_back(modules[i]);
        }
    }
    return doubtful;
}

std::vector<PlaceVote> LatticeVoter::vote(int along, int across) {
    const View there = view_at(at(along, across));
    std::vector<PlaceVote> votes;
    for (const Witness& one : witnesses(locked_, alone(locked_, there))) {
        votes.push_back({along, across, -one.says, one.module, true});
    }
    for (const Witness& one : witnesses(there, alone(there, locked_))) {
        votes.push_back({along, across, one.says, one.module, false});
    }
    if (votes.empty()) {
        votes.push_back({along, across, 0.0, -1, true});
    }
    return votes;
}

}  // namespace heatrow::detail
