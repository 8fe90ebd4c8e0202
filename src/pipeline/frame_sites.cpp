#include "frame_sites.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace heatrow {
namespace {

double most_apart(const std::vector<Radians>& a, const std::vector<Radians>& b) {
    double most = 0.0;
    for (std::size_t table = 0; table < a.size(); ++table) {
        const double apart = std::abs((a[table] - b[table]).value());
        most = std::isnan(apart) ? most : std::max(most, apart);
    }
    return most;
}

}  // namespace

FrameSites::FrameSites(const SurveyInputs& inputs, const LayoutIndex& site) {
    const std::vector<FramePrior>& priors = inputs.frames.priors;
    number_of_.assign(priors.size(), 0);
    if (!inputs.trackers) {
        sites_.push_back(&site);
        return;
    }
    std::vector<std::size_t> by_time(priors.size());
    std::iota(by_time.begin(), by_time.end(), std::size_t{0});
    std::stable_sort(
        by_time.begin(), by_time.end(), [&](std::size_t a, std::size_t b) { return priors[a].time < priors[b].time; });
    std::vector<Radians> now;
    for (const std::size_t frame : by_time) {
        if (inputs.frames.rejections[frame]) {
            continue;  // it takes no part, and may have no time
        }
        const std::vector<Radians> rotations = inputs.trackers->at(priors[frame].time);
        if (turned_.empty() || most_apart(rotations, now) > kAlike.value()) {
            turned_.push_back(
                std::make_unique<Turned>(turned_layout(site.layout(), inputs.trackers->axes(), rotations)));
            sites_.push_back(&turned_.back()->index);
            now = rotations;
        }
        number_of_[frame] = turned_.size() - 1;
    }
    if (sites_.empty()) {
        sites_.push_back(&site);
    }
}

FrameSamplers::FrameSamplers(const FrameSites& sites, const SampleOptions& options) : sites_(sites) {
    for (std::size_t i = 0; i < sites.count(); ++i) {
        samplers_.push_back(std::make_unique<ModuleSampler>(sites.site(i), options));
    }
}

}  // namespace heatrow
