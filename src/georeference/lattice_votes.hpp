// What a locked frame says of being elsewhere on the layout's lattice: where rows and tables end, and where modules are
// missing, sides of modules are there at one place and not at another.
#pragma once

#include "heatrow/camera/posed_camera.hpp"
#include "heatrow/core/slot_record.hpp"
#include "predicted_lines.hpp"
#include "side_judge.hpp"

#include <Eigen/Core>

#include <unordered_map>
#include <vector>

namespace heatrow::detail {

class LatticeVoter {
  public:
    // `prober` gives levels.
    LatticeVoter(const LayoutIndex& site,
                 const Lens& lens,
                 const FramePose& locked,
                 BandProber& prober,
                 const Eigen::Vector3d& camera_motion);

    // The camera so many pitches further: what it sees of an endless lattice does not change.
    [[nodiscard]] FramePose at(int along, int across) const;
    // Sides that only one of the two places has are probed; each says how much more often such a side looks like one
    // than a place without one does. Modules side by side speak as one witness, with a capped vote.
    // One vote a witness; where there is none, one that says nothing.
    std::vector<PlaceVote> vote(int along, int across);

    // Modules of tables whose sides are mostly not where the locked pose has them, while those of others are: the
    // layout contradicts the picture there. Ascending.
    [[nodiscard]] std::vector<int> contradicted();
    [[nodiscard]] std::size_t module_count() const { return locked_.modules.size(); }

  private:
    struct View {
        FramePose pose;
        std::vector<int> modules;
        std::vector<Eigen::Vector2d> centres_px;
    };
    struct Witness {
        int module = -1;
        double says = 0.0;  // that the sides are there, natural log
    };
    [[nodiscard]] View view_at(const FramePose& pose) const;
    // Modules of `view` that stand where `other` has none.
    [[nodiscard]] std::vector<int> alone(const View& view, const View& other) const;
    std::vector<Witness> witnesses(const View& view, const std::vector<int>& modules);
    // What a side says as a witness, natural log; zero where the picture does not show its place.
    double side_says(const PosedCamera& camera, const BandEdge& edge);
    double side_says_at_lock(const PosedCamera& camera, const BandEdge& edge);

    const LayoutIndex& site_;
    const Lens& lens_;
    Eigen::Vector3d motion_;
    View locked_;
    SideJudge judge_;
    std::vector<PredictedLine> lines_;
    std::unordered_map<const BandEdge*, double>
        said_;  // by sides at the locked pose: many places ask for the same ones
};

}  // namespace heatrow::detail
