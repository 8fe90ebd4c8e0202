#include "matching.hpp"

#include <algorithm>
#include <tuple>

namespace scene {
namespace {

// Cells in common over cells in either; a whole module shares all. Negative where the objects differ.
double common_share(const Abnormality& fault, const Abnormality& finding) {
    if (fault.module != finding.module || (fault.module.empty() && fault.string != finding.string)) {
        return -1.0;
    }
    if (fault.cells.empty() && finding.cells.empty()) {
        return 1.0;
    }
    if (fault.cells.empty() || finding.cells.empty()) {
        return 0.01;  // part of a whole: they touch
    }
    std::size_t common = 0;
    for (const int cell : finding.cells) {
        common += fault.cells.contains(cell) ? 1U : 0U;
    }
    const std::size_t either = fault.cells.size() + finding.cells.size() - common;
    return common == 0 ? -1.0 : static_cast<double>(common) / static_cast<double>(either);
}

bool lies_on(const Abnormality& fault, const Abnormality& finding) {
    if (fault.decoy) {
        return false;
    }
    const bool in_warm_string =
        fault.module.empty() && !finding.module.empty() && !fault.string.empty() && fault.string == finding.string;
    return in_warm_string || common_share(fault, finding) > 0.0;
}

}  // namespace

Eigen::Vector2d centre_of(const Quad& corners) {
    return 0.25 * (corners[0] + corners[1] + corners[2] + corners[3]);
}

bool inside_quad(const Quad& corners, const Eigen::Vector2d& point) {
    int left = 0;
    for (std::size_t i = 0; i < 4; ++i) {
        const Eigen::Vector2d edge = corners[(i + 1) % 4] - corners[i];
        const Eigen::Vector2d to = point - corners[i];
        left += edge.x() * to.y() - edge.y() * to.x() >= 0.0 ? 1 : 0;
    }
    return left == 0 || left == 4;
}

ViewVerdict judge_view(const FrameModule& view, const std::vector<const FrameModule*>& outlines) {
    const Eigen::Vector2d centre = centre_of(view.corners_px);
    bool in_another = false;
    for (const FrameModule* outline : outlines) {
        if (inside_quad(outline->corners_px, centre)) {
            if (outline->module == view.module) {
                return ViewVerdict::right;
            }
            in_another = true;
        }
    }
    return in_another ? ViewVerdict::wrong : ViewVerdict::elsewhere;
}

Matching match_findings(const std::vector<Abnormality>& faults, const std::vector<Abnormality>& findings) {
    struct Pair {
        bool same_pattern;
        double share;
        std::size_t fault, finding;
    };
    std::vector<Pair> pairs;
    for (std::size_t i = 0; i < faults.size(); ++i) {
        for (std::size_t k = 0; k < findings.size() && !faults[i].decoy; ++k) {
            const double share = common_share(faults[i], findings[k]);
            if (share > 0.0) {
                pairs.push_back({faults[i].pattern == findings[k].pattern, share, i, k});
            }
        }
    }
    std::ranges::sort(pairs, [](const Pair& a, const Pair& b) {
        return std::tuple(!a.same_pattern, -a.share, a.fault, a.finding) <
               std::tuple(!b.same_pattern, -b.share, b.fault, b.finding);
    });
    Matching matching;
    matching.fault_of_finding.assign(findings.size(), -1);
    matching.finding_of_fault.assign(faults.size(), -1);
    for (const Pair& pair : pairs) {
        if (matching.finding_of_fault[pair.fault] < 0 && matching.fault_of_finding[pair.finding] < 0) {
            matching.finding_of_fault[pair.fault] = static_cast<int>(pair.finding);
            matching.fault_of_finding[pair.finding] = static_cast<int>(pair.fault);
        }
    }
    for (std::size_t k = 0; k < findings.size(); ++k) {
        const bool beside =
            matching.fault_of_finding[k] < 0 &&
            std::ranges::any_of(faults, [&](const Abnormality& fault) { return lies_on(fault, findings[k]); });
        matching.beside_a_fault.push_back(beside);
    }
    return matching;
}

}  // namespace scene
