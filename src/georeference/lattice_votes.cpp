#include "lattice_votes.hpp"

#include "heatrow/camera/posed_camera.hpp"

#include <algorithm>
#include <cmath>
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
constexpr int kSidesForJudge = 96;

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

std::vector<LatticeVoter::Witness> LatticeVoter::witnesses(const View& view, const std::vector<int>& modules) {
    const PosedCamera camera(lens_, view.pose);
    const auto place_of = [&](int module) {
        const auto at = std::lower_bound(modules.begin(), modules.end(), module);
        return at != modules.end() && *at == module ? static_cast<int>(at - modules.begin()) : -1;
    };
    // Neighbours belong to one witness: each module points to an earlier one of its group.
    std::vector<int> group(modules.size());
    for (std::size_t i = 0; i < group.size(); ++i) {
        group[i] = static_cast<int>(i);
    }
    const auto head = [&group](int i) {
        while (group[static_cast<std::size_t>(i)] != i) {
            i = group[static_cast<std::size_t>(i)];
        }
        return i;
    };
    std::vector<double> says(modules.size(), 0.0);
    std::vector<PredictedLine> lines;
    for (const int module : view.modules) {
        for (const BandEdge& edge : site_.edges_of(module)) {
            const int own = place_of(edge.module);
            const int beyond = edge.neighbour >= 0 ? place_of(edge.neighbour) : own;
            // A side shared with a module that both places have is a free side at the other place.
            if (own < 0 || beyond < 0) {
                continue;
            }
            group[static_cast<std::size_t>(std::max(head(own), head(beyond)))] = std::min(head(own), head(beyond));
            lines.clear();
            add_lines(camera, edge, kBorderPx, motion_, lines);
            double found = 0.0;
            double probed = 0.0;
            for (const PredictedLine& line : lines) {
                probed += 1.0;
                found += judge_.shows_side(line) ? 1.0 : 0.0;
            }
            if (probed > 0.0) {
                // Strips of one side share its fate: together they count as one.
                const double share = found / probed;
                const double usual = judge_.usual_share(edge.neighbour < 0);
                says[static_cast<std::size_t>(own)] += share * std::log(usual / kFoundByChance) +
                                                       (1.0 - share) * std::log((1.0 - usual) / (1.0 - kFoundByChance));
            }
        }
    }
    std::vector<Witness> found;
    std::vector<double> most(modules.size(), 0.0);
    std::vector<Witness> by_head(modules.size());
    for (std::size_t i = 0; i < modules.size(); ++i) {
        const std::size_t h = static_cast<std::size_t>(head(static_cast<int>(i)));
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
