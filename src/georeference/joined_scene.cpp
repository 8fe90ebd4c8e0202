#include "joined_scene.hpp"

#include <Eigen/Geometry>
#include <Eigen/SparseCholesky>
#include <Eigen/SparseCore>

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

namespace heatrow::detail {
namespace {

using Eigen::Matrix3d;
using Eigen::Vector3d;

// To the right of one who looks at the front, up the slope; on a flat table as if it faced south.
Vector3d right_of(const Vector3d& normal) {
    const Vector3d level(-normal.y(), normal.x(), 0.0);
    constexpr double kFlat = 0.04;  // sine of the tilt
    return level.norm() > kFlat ? level.normalized() : Vector3d(1.0, 0.0, 0.0);
}

Matrix3d cross_matrix(const Vector3d& v) {
    Matrix3d m;
    m << 0.0, -v.z(), v.y(), v.z(), 0.0, -v.x(), -v.y(), v.x(), 0.0;
    return m;
}

// Unknowns: six of each joined frame (shift, turn), three of each module, then the common yaw and the scale. Rows are
// scaled by their standard deviations.
class SceneEquations {
  public:
    SceneEquations(const JoinedScene& scene, const std::vector<SeenFrame>& frames, const JoiningOptions& options)
        : scene_(scene), frames_(frames), options_(options) {
        frame_at_.assign(frames.size(), -1);
        for (std::size_t i = 0; i < frames.size(); ++i) {
            if (scene.joined[i]) {
                frame_at_[i] = unknowns_;
                unknowns_ += 6;
            }
        }
        for (std::size_t t = 0; t < scene.tables.size(); ++t) {
            for (const auto& [place, module] : scene.tables[t].modules) {
                module_at_[{t, place}] = unknowns_;
                unknowns_ += 3;
            }
        }
        yaw_at_ = unknowns_++;
        scale_at_ = unknowns_++;
    }

    Eigen::VectorXd solve() {
        for (const LaidGrid& grid : scene_.grids) {
            if (grid.table >= 0) {
                add_grid(grid);
            }
        }
        for (std::size_t i = 0; i < frames_.size(); ++i) {
            if (frame_at_[i] >= 0) {
                add_prior(i);
            }
        }
        add_row({{yaw_at_, 1.0}}, -scene_.yaw_turn_rad, options_.yaw_common_sd_rad);
        add_row({{scale_at_, 1.0}}, 1.0 - scene_.scale, options_.scale_sd);
        Eigen::SparseMatrix<double> a(static_cast<Eigen::Index>(right_.size()), unknowns_);
        a.setFromTriplets(entries_.begin(), entries_.end());
        const Eigen::Map<const Eigen::VectorXd> b(right_.data(), static_cast<Eigen::Index>(right_.size()));
        const Eigen::SparseMatrix<double> normal = a.transpose() * a;
        const Eigen::SimplicialLDLT<Eigen::SparseMatrix<double>> factor(normal);
        return factor.solve(a.transpose() * b);
    }

    [[nodiscard]] int frame_at(std::size_t frame) const { return frame_at_[frame]; }
    [[nodiscard]] int yaw_at() const { return yaw_at_; }
    [[nodiscard]] int scale_at() const { return scale_at_; }

  private:
    void add_row(const std::vector<std::pair<int, double>>& row, double right, double sd) {
        for (const auto& [column, value] : row) {
            entries_.emplace_back(static_cast<int>(right_.size()), column, value / sd);
        }
        right_.push_back(right / sd);
    }

    // Module = camera + turn * scale * what the frame saw.
    void add_grid(const LaidGrid& grid) {
        const KnownTable& table = scene_.tables[static_cast<std::size_t>(grid.table)];
        const int frame = frame_at_[grid.frame];
        const double depth_sd = options_.depth_sd_m / std::sqrt(static_cast<double>(grid.modules.size()));
        for (const LaidModule& laid : grid.modules) {
            const LatticePlace place = laid.at + grid.offset;
            const int module = module_at_.at({static_cast<std::size_t>(grid.table), place});
            const Vector3d seen = scene_.centre(grid, *laid.seen);
            const Vector3d arm = seen - scene_.poses[grid.frame].position_in_site;
            const Matrix3d by_turn = -cross_matrix(arm);  // of turn x arm
            const Vector3d missing = seen - table.modules.at(place).centre_in_site;
            // Across and along the line of sight.
            const Vector3d sight = arm.normalized();
            const Vector3d across = sight.unitOrthogonal();
            for (const auto& [direction, sd] : {std::pair(across, options_.centre_sd_m),
                                                std::pair(Vector3d(sight.cross(across)), options_.centre_sd_m),
                                                std::pair(sight, depth_sd)}) {
                const Vector3d turned = direction.transpose() * by_turn;
                std::vector<std::pair<int, double>> row;
                for (int k = 0; k < 3; ++k) {
                    row.emplace_back(module + k, direction[k]);
                    row.emplace_back(frame + k, -direction[k]);
                    row.emplace_back(frame + 3 + k, -turned[k]);
                }
                row.emplace_back(scale_at_, -direction.dot(arm) / scene_.scale);
                add_row(row, direction.dot(missing), sd);
            }
        }
    }

    void add_prior(std::size_t i) {
        const int at = frame_at_[i];
        const FramePose& logged = *frames_[i].prior.pose;
        const Vector3d off = logged.position_in_site - scene_.poses[i].position_in_site;
        constexpr double kPosition = 2.0;  // a flight's wandering beside the noise, as a multiple of it
        const Eigen::AngleAxisd turned(site_from_camera(scene_.poses[i]) * site_from_camera(logged).transpose());
        const Vector3d turn = turned.angle() * turned.axis();
        for (int k = 0; k < 3; ++k) {
            add_row({{at + k, 1.0}}, off[k], kPosition * options_.position_noise_m);
        }
        add_row({{at + 3, 1.0}}, -turn.x(), options_.tilt_sd_rad);
        add_row({{at + 4, 1.0}}, -turn.y(), options_.tilt_sd_rad);
        add_row({{at + 5, 1.0}, {yaw_at_, -1.0}}, scene_.yaw_turn_rad - turn.z(), options_.yaw_sd_rad);
    }

    const JoinedScene& scene_;
    const std::vector<SeenFrame>& frames_;
    const JoiningOptions& options_;
    std::vector<int> frame_at_;
    std::map<std::pair<std::size_t, LatticePlace>, int> module_at_;
    int unknowns_ = 0;
    int yaw_at_ = 0;
    int scale_at_ = 0;
    std::vector<Eigen::Triplet<double>> entries_;
    std::vector<double> right_;
};

// Where the places of `b` lie on the lattice of `a`, where they share modules; the offset to add.
std::optional<LatticePlace> shared_offset(const KnownTable& a, const KnownTable& b) {
    constexpr double kSame = 0.25;    // of the shorter step: a table beside may begin at half a one
    constexpr double kOneWay = 0.87;  // cosine
    const double near = kSame * a.pitch_m.minCoeff();
    if (a.type != b.type || a.lies != b.lies || a.normal.normalized().dot(b.normal.normalized()) < kOneWay) {
        return std::nullopt;
    }
    std::map<LatticePlace, int> votes;
    for (const auto& [place, module] : b.modules) {
        for (const auto& [other, known] : a.modules) {
            if (lies_near(known.centre_in_site, module.centre_in_site, near)) {
                ++votes[other - place];
            }
        }
    }
    const auto most =
        std::max_element(votes.begin(), votes.end(), [](const auto& x, const auto& y) { return x.second < y.second; });
    return most == votes.end() ? std::nullopt : std::optional(most->first);
}

}  // namespace

bool lies_near(const Vector3d& a, const Vector3d& b, double reach_m) {
    constexpr double kStorey_m = 1.5;
    return (a - b).head<2>().norm() < reach_m && std::abs(a.z() - b.z()) < kStorey_m;
}

LaidGrid lay_grid(const SeenGrid& grid, std::size_t frame, const FramePose& pose) {
    const Matrix3d site = site_from_camera(pose) * grid.camera_from_plane;
    const Vector3d wanted = right_of(site.col(2));
    // Quarter turns of the plane's axes: right, up.
    const std::array<std::array<Vector3d, 2>, 4> turns{{{Vector3d(1, 0, 0), Vector3d(0, 1, 0)},
                                                        {Vector3d(0, 1, 0), Vector3d(-1, 0, 0)},
                                                        {Vector3d(-1, 0, 0), Vector3d(0, -1, 0)},
                                                        {Vector3d(0, -1, 0), Vector3d(1, 0, 0)}}};
    std::size_t best = 0;
    for (std::size_t k = 1; k < 4; ++k) {
        if ((site * turns[k][0]).dot(wanted) > (site * turns[best][0]).dot(wanted)) {
            best = k;
        }
    }
    LaidGrid laid;
    laid.frame = frame;
    laid.type = grid.type;
    const bool turned = best % 2 == 1;
    laid.lies = grid.lies != turned;
    laid.pitch_m = turned ? Eigen::Vector2d(grid.pitch_m.y(), grid.pitch_m.x()) : grid.pitch_m;
    laid.axes_in_camera.col(0) = grid.camera_from_plane * turns[best][0];
    laid.axes_in_camera.col(1) = grid.camera_from_plane * turns[best][1];
    laid.axes_in_camera.col(2) = grid.camera_from_plane.col(2);
    for (const SeenModule& module : grid.modules) {
        const Vector3d in_plane(module.column, -module.row, 0.0);
        laid.modules.push_back({{static_cast<int>(std::lround(in_plane.dot(turns[best][0]))),
                                 static_cast<int>(std::lround(in_plane.dot(turns[best][1])))},
                                &module});
    }
    return laid;
}

Vector3d JoinedScene::centre(const LaidGrid& grid, const SeenModule& module) const {
    const FramePose& pose = poses[grid.frame];
    return pose.position_in_site + site_from_camera(pose) * (scale * module.centre_in_camera);
}

void JoinedScene::rebuild_tables() {
    for (KnownTable& table : tables) {
        const KnownTable old = table;
        table = KnownTable{};
        table.type = old.type;
        table.lies = old.lies;
        for (const std::size_t index : old.grids) {
            const LaidGrid& grid = grids[index];
            const auto weight = static_cast<double>(grid.modules.size());
            const Matrix3d site = site_from_camera(poses[grid.frame]) * grid.axes_in_camera;
            const double before = table.normal.norm();
            table.pitch_m = (before * table.pitch_m + weight * scale * grid.pitch_m) / (before + weight);
            table.right += weight * site.col(0);
            table.normal += weight * site.col(2);
            for (const LaidModule& laid : grid.modules) {
                TableModule& module = table.modules[laid.at + grid.offset];
                ++module.seen;
                module.centre_in_site += (centre(grid, *laid.seen) - module.centre_in_site) / module.seen;
                module.level = laid.seen->level;
                module.level_frame = grid.frame;
            }
        }
        table.grids = old.grids;
    }
}

void solve_scene(JoinedScene& scene, const std::vector<SeenFrame>& frames, const JoiningOptions& options) {
    constexpr int kRounds = 5;
    for (int round = 0; round < kRounds; ++round) {
        scene.rebuild_tables();
        SceneEquations equations(scene, frames, options);
        const Eigen::VectorXd step = equations.solve();
        for (std::size_t i = 0; i < frames.size(); ++i) {
            const int at = equations.frame_at(i);
            if (at < 0) {
                continue;
            }
            const Vector3d turn = step.segment<3>(at + 3);
            const double angle = turn.norm();
            Matrix3d rotation = site_from_camera(scene.poses[i]);
            if (angle > 0.0) {
                rotation = Eigen::AngleAxisd(angle, turn / angle).toRotationMatrix() * rotation;
            }
            scene.poses[i] = pose_from(rotation, scene.poses[i].position_in_site + step.segment<3>(at));
        }
        scene.yaw_turn_rad += step[equations.yaw_at()];
        scene.scale += step[equations.scale_at()];
    }
    scene.rebuild_tables();
}

bool merge_tables(JoinedScene& scene) {
    bool any = false;
    for (std::size_t a = 0; a < scene.tables.size(); ++a) {
        for (std::size_t b = a + 1; b < scene.tables.size();) {
            const auto offset = shared_offset(scene.tables[a], scene.tables[b]);
            if (!offset) {
                ++b;
                continue;
            }
            any = true;
            for (const std::size_t index : scene.tables[b].grids) {
                scene.grids[index].table = static_cast<int>(a);
                scene.grids[index].offset = scene.grids[index].offset + *offset;
                scene.tables[a].grids.push_back(index);
            }
            scene.tables.erase(scene.tables.begin() + static_cast<std::ptrdiff_t>(b));
            for (LaidGrid& grid : scene.grids) {
                grid.table -= grid.table > static_cast<int>(b) ? 1 : 0;
            }
            scene.rebuild_tables();
            b = a + 1;
        }
    }
    return any;
}

}  // namespace heatrow::detail
