#include "heatrow/georeference/side_evidence.hpp"

#include "heatrow/camera/posed_camera.hpp"
#include "heatrow/edges/band_probe.hpp"
#include "predicted_lines.hpp"
#include "side_judge.hpp"

#include <optional>

namespace heatrow {
namespace {

constexpr double kBorderPx = 6.0;

// The part of a side that is in the picture, clear of its border; nothing where none is.
std::optional<BandEdge> clipped(const BandEdge& edge, const PosedCamera& camera) {
    constexpr int kPoints = 48;
    std::optional<BandEdge> part;
    for (int i = 0; i <= kPoints; ++i) {
        const double share = static_cast<double>(i) / kPoints;
        const Eigen::Vector3d point = edge.from_in_site + share * (edge.to_in_site - edge.from_in_site);
        const auto pixel = camera.project(point);
        if (!pixel || !inside_picture(camera.lens(), *pixel, kBorderPx)) {
            continue;
        }
        if (!part) {
            part = edge;
            part->from_in_site = point;
        }
        part->to_in_site = point;
    }
    return part;
}

}  // namespace

std::vector<SideEvidence> evidence_of_sides(const LayoutIndex& site,
                                            const Lens& lens,
                                            const FramePose& pose,
                                            CountView counts,
                                            const LockOptions& options,
                                            std::span<const int> modules) {
    ProbeOptions probe;
    probe.blur_sigma_px = options.blur_sigma_px;
    probe.nodata = options.nodata;
    BandProber prober(counts, probe);
    const PosedCamera camera(lens, pose);
    std::vector<SideEvidence> free_sides(modules.size());
    std::vector<SideEvidence> shared_sides(modules.size());
    std::vector<detail::PredictedLine> lines;
    for (const int module : detail::modules_in_view(site, camera, Metres(0.0))) {
        for (const BandEdge& edge : site.edges_of(module)) {
            lines.clear();
            for (std::size_t i = 0; i < modules.size(); ++i) {
                if (edge.module != modules[i] && edge.neighbour != modules[i]) {
                    continue;
                }
                const std::optional<BandEdge> part = lines.empty() ? clipped(edge, camera) : std::nullopt;
                if (part) {
                    detail::add_lines(camera, *part, kBorderPx, options.camera_motion_in_site, lines);
                }
                SideEvidence& evidence = (edge.neighbour < 0 ? free_sides : shared_sides)[i];
                for (const detail::PredictedLine& line : lines) {
                    ++evidence.probed;
                    evidence.shown += detail::lies_at(prober.probe(line.line)) ? 1 : 0;
                }
            }
        }
    }
    std::vector<SideEvidence> evidence;
    for (std::size_t i = 0; i < modules.size(); ++i) {
        evidence.push_back(free_sides[i].probed > 0 ? free_sides[i] : shared_sides[i]);
    }
    return evidence;
}

}  // namespace heatrow
