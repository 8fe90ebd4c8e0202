#include "heatrow/georeference/missing_positions.hpp"

#include <algorithm>
#include <chrono>
#include <vector>

namespace heatrow {

namespace {

using Eigen::Vector3d;

constexpr double kLongestGap_s = 10.0;
constexpr double kLongestBeyond_s = 2.0;
constexpr double kNeighbour_s = 5.0;             // speeds are taken over no more than that
constexpr double kLeastAcceleration_m_s2 = 0.3;  // of a flight that keeps its speed
constexpr double kBeyond_m_s2 = 1.0;
constexpr double kMostOpen_m = 2.0;

double between(UtcTime from, UtcTime to) {
    return std::chrono::duration<double>(to - from).count();
}

std::optional<Vector3d> speed(const FramePrior* from, const FramePrior* to) {
    const double elapsed = from != nullptr && to != nullptr ? between(from->time, to->time) : 0.0;
    if (!(elapsed > 0.0 && elapsed <= kNeighbour_s)) {
        return std::nullopt;
    }
    return (to->pose->position_in_site - from->pose->position_in_site) / elapsed;
}

std::optional<FilledPosition> unless_open(const FilledPosition& filled) {
    return filled.u_m <= kMostOpen_m ? std::optional(filled) : std::nullopt;
}

}  // namespace

std::optional<FilledPosition> position_at(std::span<const FramePrior> priors, UtcTime time) {
    std::vector<const FramePrior*> logged;
    for (const FramePrior& prior : priors) {
        if (prior.pose && prior.time != time) {
            logged.push_back(&prior);
        }
    }
    std::stable_sort(logged.begin(), logged.end(), [](const auto* a, const auto* b) { return a->time < b->time; });
    const auto next = std::upper_bound(
        logged.begin(), logged.end(), time, [](UtcTime t, const FramePrior* prior) { return t < prior->time; });
    const auto at = [&](std::ptrdiff_t steps) -> const FramePrior* {
        const std::ptrdiff_t place = next - logged.begin() + steps;
        return place >= 0 && place < static_cast<std::ptrdiff_t>(logged.size())
                   ? logged[static_cast<std::size_t>(place)]
                   : nullptr;
    };
    const FramePrior* before = at(-1);
    const FramePrior* after = at(0);
    if (before != nullptr && after != nullptr) {
        const double gap = between(before->time, after->time);
        if (gap > kLongestGap_s) {
            return std::nullopt;
        }
        const Vector3d& from = before->pose->position_in_site;
        const Vector3d inside = (after->pose->position_in_site - from) / gap;
        double changes = 0.0;
        for (const std::optional<Vector3d>& outside : {speed(at(-2), before), speed(after, at(1))}) {
            changes += outside ? (*outside - inside).norm() : 0.0;
        }
        const double since = between(before->time, time);
        const double acceleration = std::max(kLeastAcceleration_m_s2, changes / gap);
        return unless_open({from + inside * since, 0.5 * acceleration * since * (gap - since)});
    }
    const FramePrior* end = before != nullptr ? before : after;
    const std::optional<Vector3d> outside = before != nullptr ? speed(at(-2), before) : speed(after, at(1));
    if (!outside) {
        return std::nullopt;
    }
    const double beyond = between(end->time, time);
    if (std::abs(beyond) > kLongestBeyond_s) {
        return std::nullopt;
    }
    return unless_open({end->pose->position_in_site + *outside * beyond, 0.5 * kBeyond_m_s2 * beyond * beyond});
}

}  // namespace heatrow
