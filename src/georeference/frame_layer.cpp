#include "frame_layer.hpp"

#include <Eigen/Geometry>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <map>
#include <optional>
#include <set>

namespace heatrow::detail {
namespace {

using Eigen::Vector3d;

struct GridHome {
    int table = -1;
    LatticePlace offset{0, 0};
};

// A frame laid onto the tables that earlier ones showed.
struct Laying {
    Vector3d shift{0.0, 0.0, 0.0};  // of the camera
    std::vector<GridHome> homes;    // of each grid
    double score = 0.0;             // natural log
};

class FrameLayer {
  public:
    FrameLayer(JoinedScene& scene,
               const std::vector<SeenFrame>& frames,
               const Lens& lens,
               const JoiningOptions& options)
        : scene_(scene), frames_(frames), lens_(lens), options_(options) {}

    // Nothing where it joins; else the reason why it does not.
    std::string add(std::size_t frame) {
        predict(frame);
        std::vector<LaidGrid> grids;
        for (const SeenGrid& grid : frames_[frame].grids) {
            grids.push_back(lay_grid(grid, frame, scene_.poses[frame]));
        }
        std::vector<Laying> layings = layings_of(grids);
        std::stable_sort(
            layings.begin(), layings.end(), [](const Laying& a, const Laying& b) { return a.score > b.score; });
        if (!layings.empty()) {
            const Laying& best = layings.front();
            const auto rival = std::find_if(layings.begin() + 1, layings.end(), [&](const Laying& other) {
                return (other.shift - best.shift).head<2>().norm() > 0.5 * grids.front().pitch_m.minCoeff();
            });
            constexpr double kDecided = 3.0;  // natural log
            if (rival != layings.end() && best.score - rival->score < kDecided) {
                return "it fits the frames before it in two places " +
                       std::to_string(std::lround(100.0 * (rival->shift - best.shift).norm())) + " cm apart";
            }
            scene_.poses[frame].position_in_site += best.shift;
            for (std::size_t i = 0; i < grids.size(); ++i) {
                grids[i].table = best.homes[i].table;
                grids[i].offset = best.homes[i].offset;
            }
        }
        keep(frame, std::move(grids));
        last_ = frame;
        return {};
    }

  private:
    [[nodiscard]] double position_sd(std::size_t frame) const {
        if (!last_) {
            return options_.position_noise_m;
        }
        const std::chrono::duration<double> passed = frames_[frame].prior.time - frames_[*last_].prior.time;
        const double walk = options_.position_walk_m * std::sqrt(std::abs(passed.count()));
        return std::hypot(options_.position_noise_m, walk);
    }

    // The log errs as it did in the last frame.
    void predict(std::size_t frame) {
        FramePose& pose = scene_.poses[frame];
        pose = *frames_[frame].prior.pose;
        if (last_) {
            pose.position_in_site +=
                scene_.poses[*last_].position_in_site - frames_[*last_].prior.pose->position_in_site;
        }
    }

    [[nodiscard]] bool alike(const LaidGrid& grid, const KnownTable& table) const {
        constexpr double kOneWay = 0.87;  // cosine of 30 deg: few modules tell their plane badly
        const Eigen::Matrix3d site = site_from_camera(scene_.poses[grid.frame]) * grid.axes_in_camera;
        return grid.type == table.type && grid.lies == table.lies &&
               site.col(0).dot(table.right.normalized()) > kOneWay &&
               site.col(2).dot(table.normal.normalized()) > kOneWay;
    }

    // Shifts that put a module of the frame onto one that is known.
    std::vector<Laying> layings_of(const std::vector<LaidGrid>& grids) {
        std::vector<Laying> layings;
        std::set<std::pair<int, LatticePlace>> tried;
        for (const LaidGrid& grid : grids) {
            tried.clear();
            const double reach = 4.0 * position_sd(grid.frame) + 0.5;
            for (std::size_t t = 0; t < scene_.tables.size(); ++t) {
                if (!alike(grid, scene_.tables[t])) {
                    continue;
                }
                for (const LaidModule& laid : grid.modules) {
                    const Vector3d here = scene_.centre(grid, *laid.seen);
                    for (const auto& [place, known] : scene_.tables[t].modules) {
                        const Vector3d shift = known.centre_in_site - here;
                        if (shift.norm() < reach && tried.insert({static_cast<int>(t), place - laid.at}).second) {
                            if (auto laying = try_shift(grids, mean_shift(grid, scene_.tables[t], place - laid.at))) {
                                layings.push_back(std::move(*laying));
                            }
                        }
                    }
                }
            }
        }
        return layings;
    }

    [[nodiscard]] Vector3d mean_shift(const LaidGrid& grid, const KnownTable& table, const LatticePlace& offset) const {
        Vector3d sum = Vector3d::Zero();
        int count = 0;
        for (const LaidModule& laid : grid.modules) {
            const auto known = table.modules.find(laid.at + offset);
            if (known != table.modules.end()) {
                sum += known->second.centre_in_site - scene_.centre(grid, *laid.seen);
                ++count;
            }
        }
        return sum / std::max(count, 1);
    }

    std::optional<Laying> try_shift(const std::vector<LaidGrid>& grids, const Vector3d& shift) const {
        Laying laying;
        laying.shift = shift;
        const double sd = position_sd(grids.front().frame);
        constexpr double kUp = 2.0;  // heights are logged less well
        laying.score = -0.5 * (shift.head<2>().squaredNorm() + std::pow(shift.z() / kUp, 2)) / (sd * sd);
        bool any = false;
        for (const LaidGrid& grid : grids) {
            GridHome home = home_of(grid, shift);
            any = any || home.table >= 0;
            if (home.table >= 0) {
                laying.score += evidence(grid, home, shift);
            }
            laying.homes.push_back(home);
        }
        return any ? std::optional(std::move(laying)) : std::nullopt;
    }

    // The table on whose known modules those of the grid lie.
    [[nodiscard]] GridHome home_of(const LaidGrid& grid, const Vector3d& shift) const {
        std::map<std::pair<int, LatticePlace>, int> votes;
        constexpr double kSame = 0.3;  // of the shorter step
        const double near = kSame * grid.pitch_m.minCoeff();
        for (std::size_t t = 0; t < scene_.tables.size(); ++t) {
            if (!alike(grid, scene_.tables[t])) {
                continue;
            }
            for (const LaidModule& laid : grid.modules) {
                const Vector3d here = scene_.centre(grid, *laid.seen) + shift;
                for (const auto& [place, known] : scene_.tables[t].modules) {
                    if (lies_near(known.centre_in_site, here, near)) {
                        ++votes[{static_cast<int>(t), place - laid.at}];
                    }
                }
            }
        }
        const auto most = std::max_element(
            votes.begin(), votes.end(), [](const auto& a, const auto& b) { return a.second < b.second; });
        return most == votes.end() ? GridHome{} : GridHome{most->first.first, most->first.second};
    }

    // Whether a point of the site lies well inside the picture of a frame.
    [[nodiscard]] bool well_inside(std::size_t frame, const Vector3d& point) const {
        const PosedCamera camera(lens_, scene_.poses[frame]);
        const auto pixel = camera.project(point);
        constexpr double kMargin = 0.12;  // of the height
        return pixel && inside_picture(lens_, *pixel, kMargin * lens_.height_px);
    }

    // Modules that one of grid and table has and the other, though it saw the place, has not; and the levels of those
    // that both have.
    [[nodiscard]] double evidence(const LaidGrid& grid, const GridHome& home, const Vector3d& shift) const {
        const KnownTable& table = scene_.tables[static_cast<std::size_t>(home.table)];
        std::set<LatticePlace> has;
        std::vector<std::pair<double, double>> levels;
        int against = 0;
        std::size_t latest = 0;
        for (const auto& [place, known] : table.modules) {
            latest = std::max(latest, known.level_frame);
        }
        for (const LaidModule& laid : grid.modules) {
            const LatticePlace place = laid.at + home.offset;
            has.insert(place);
            const auto known = table.modules.find(place);
            if (known == table.modules.end()) {
                const Vector3d there = scene_.centre(grid, *laid.seen) + shift;
                against += std::any_of(table.grids.begin(),
                                       table.grids.end(),
                                       [&](std::size_t index) { return well_inside(scene_.grids[index].frame, there); })
                               ? 1
                               : 0;
            } else if (known->second.level_frame == latest) {
                levels.emplace_back(laid.seen->level, known->second.level);
            }
        }
        for (const auto& [place, known] : table.modules) {
            against += !has.contains(place) && well_inside(grid.frame, known.centre_in_site - shift) ? 1 : 0;
        }
        // A module may be missed or invented: the log of one in five, and no more than a few of them.
        constexpr double kAgainst = 1.6;
        constexpr int kMostAgainst = 5;
        return barcode(levels) - kAgainst * std::min(against, kMostAgainst);
    }

    // Log-likelihood ratio of a correlation (see georeference/barcode.hpp), capped: levels drift along a frame alike.
    static double barcode(const std::vector<std::pair<double, double>>& levels) {
        constexpr std::size_t kLeast = 5;
        if (levels.size() < kLeast) {
            return 0.0;
        }
        Eigen::ArrayX2d pairs(static_cast<Eigen::Index>(levels.size()), 2);
        for (std::size_t i = 0; i < levels.size(); ++i) {
            pairs(static_cast<Eigen::Index>(i), 0) = levels[i].first;
            pairs(static_cast<Eigen::Index>(i), 1) = levels[i].second;
        }
        pairs.col(0) -= pairs.col(0).mean();
        pairs.col(1) -= pairs.col(1).mean();
        const double power = pairs.col(0).matrix().squaredNorm() * pairs.col(1).matrix().squaredNorm();
        if (!(power > 0.0)) {
            return 0.0;
        }
        const double r = std::clamp((pairs.col(0) * pairs.col(1)).sum() / std::sqrt(power), 0.0, 0.999);
        constexpr double kMost = 8.0;
        return std::min(kMost, -0.5 * static_cast<double>(levels.size()) * std::log(1.0 - r * r));
    }

    void keep(std::size_t frame, std::vector<LaidGrid> grids) {
        scene_.joined[frame] = true;
        for (LaidGrid& grid : grids) {
            if (grid.table < 0) {
                grid.table = static_cast<int>(scene_.tables.size());
                scene_.tables.emplace_back();
                scene_.tables.back().type = grid.type;
                scene_.tables.back().lies = grid.lies;
            }
            scene_.tables[static_cast<std::size_t>(grid.table)].grids.push_back(scene_.grids.size());
            scene_.grids.push_back(std::move(grid));
        }
        scene_.rebuild_tables();
    }

    JoinedScene& scene_;
    const std::vector<SeenFrame>& frames_;
    const Lens& lens_;
    const JoiningOptions& options_;
    std::optional<std::size_t> last_;
};

}  // namespace

std::vector<std::pair<int, std::string>> lay_frames(JoinedScene& scene,
                                                    const std::vector<SeenFrame>& frames,
                                                    const Lens& lens,
                                                    const JoiningOptions& options) {
    scene.poses.resize(frames.size());
    scene.joined.assign(frames.size(), false);
    std::vector<std::pair<int, std::string>> left_out;
    FrameLayer layer(scene, frames, lens, options);
    for (std::size_t i = 0; i < frames.size(); ++i) {
        scene.poses[i] = *frames[i].prior.pose;
        if (frames[i].grids.empty()) {
            continue;
        }
        if (std::string why = layer.add(i); !why.empty()) {
            left_out.emplace_back(static_cast<int>(i), std::move(why));
        }
    }
    return left_out;
}

}  // namespace heatrow::detail
