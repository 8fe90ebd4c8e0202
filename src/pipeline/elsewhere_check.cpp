#include "elsewhere_check.hpp"

#include "frame_sites.hpp"
#include "heatrow/core/error.hpp"
#include "heatrow/core/median.hpp"
#include "heatrow/georeference/layout_elsewhere.hpp"
#include "parallel_items.hpp"
#include "read_frame.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

namespace heatrow {
namespace {

// Own choices.
constexpr double kLeastLocked = 0.75;    // share of the frames with a pose
constexpr double kNearBorder = 0.8;      // of the search: displacements that large are rare
constexpr double kPoorRmsPx = 0.5;       // a right layout leaves 0.06 to 0.47 px
constexpr std::size_t kMostFrames = 16;  // bounds time and memory

std::vector<std::size_t> frames_of(const SurveyInputs& inputs, const SurveyAlignment& alignment, int flight) {
    std::vector<std::size_t> frames;
    for (std::size_t i = 0; i < alignment.flight_of_frame.size(); ++i) {
        if (alignment.flight_of_frame[i] == flight && is_logged(inputs, i)) {
            frames.push_back(i);
        }
    }
    return frames;
}

bool looks_wrong(const SurveyInputs& inputs,
                 const std::vector<std::size_t>& frames,
                 const std::vector<FrameOutcome>& outcomes) {
    std::vector<double> rms_px;
    std::vector<double> displaced_m;
    for (const std::size_t i : frames) {
        if (!outcomes[i].rejection) {
            const SlotRecord& record = outcomes[i].record;
            const Eigen::Vector3d off = record.pose.position_in_site - inputs.frames.priors[i].pose->position_in_site;
            rms_px.push_back(record.lock_rms_px);
            displaced_m.push_back(off.head<2>().cwiseAbs().maxCoeff());
        }
    }
    const double search_m = AlignmentOptions{}.search_horizontal.value();
    return static_cast<double>(rms_px.size()) < kLeastLocked * static_cast<double>(frames.size()) ||
           take_median(displaced_m) > kNearBorder * search_m || take_median(rms_px) > kPoorRmsPx;
}

bool has_control(const SurveyInputs& inputs, const std::vector<std::size_t>& frames) {
    return std::any_of(inputs.marks.begin(), inputs.marks.end(), [&](const ControlMark& mark) {
        return !mark.held && std::binary_search(frames.begin(), frames.end(), static_cast<std::size_t>(mark.frame));
    });
}

std::optional<LayoutElsewhere> search_elsewhere(const SurveyInputs& inputs,
                                                const LayoutIndex& site,
                                                const std::vector<std::size_t>& frames,
                                                int threads,
                                                const Progress& progress) {
    const FrameSites sites(inputs, site);
    std::vector<std::size_t> chosen;
    const std::size_t count = std::min(frames.size(), kMostFrames);
    for (std::size_t i = 0; i < count; ++i) {
        chosen.push_back(frames[((2 * ((i * 5 + 3) % count) + 1) * frames.size()) / (2 * count)]);
    }
    std::vector<tl::expected<AcceptedFrame, Rejection>> decoded(count, tl::unexpected(Rejection{}));
    for_each_item(count, threads, "looking further afield", progress, [&](std::size_t i) {
        decoded[i] = read_accepted(inputs, chosen[i]);
    });
    std::vector<ScoutFrame> scouts;
    for (std::size_t i = 0; i < count; ++i) {
        if (decoded[i]) {
            ScoutFrame scout;
            scout.prior = &inputs.frames.priors[chosen[i]];
            scout.counts = std::as_const(decoded[i]->counts).view();
            scout.site = &sites.of(chosen[i]);
            scouts.push_back(scout);
        }
    }
    ElsewhereOptions options;
    options.alignment.nodata = inputs.settings.temperature.encoding.nodata.value_or(kNaN);
    options.alignment.for_each = [threads](std::size_t items, const std::function<void(std::size_t)>& work) {
        for_each_item(items, threads, "", {}, work);
    };
    return find_layout_elsewhere(site, inputs.lens, scouts, options);
}

std::string way_of(double metres, const char* forward, const char* back) {
    return fmt::format("{:.0f} m {}", std::abs(metres), metres < 0.0 ? back : forward);
}

}  // namespace

void refuse_layout_elsewhere(const SurveyInputs& inputs,
                             const LayoutIndex& site,
                             const SurveyAlignment& alignment,
                             const std::vector<FrameOutcome>& outcomes,
                             int threads,
                             const Progress& progress) {
    if (inputs.settings.frames.placement != FrameSettings::Placement::poses) {
        return;
    }
    for (int flight = 0; flight < static_cast<int>(alignment.flights.size()); ++flight) {
        const std::vector<std::size_t> frames = frames_of(inputs, alignment, flight);
        if (frames.empty() || has_control(inputs, frames) || !looks_wrong(inputs, frames, outcomes)) {
            continue;
        }
        if (const auto elsewhere = search_elsewhere(inputs, site, frames, threads, progress)) {
            const Eigen::Vector2d& move = elsewhere->move_in_site;
            throw Error(ErrorKind::input,
                        "the layout does not fit the frames within what is searched about their logged positions",
                        "",
                        fmt::format("it would fit {} and {} of where it is drawn; up to {:.0f} m are searched",
                                    way_of(move.x(), "east", "west"),
                                    way_of(move.y(), "north", "south"),
                                    AlignmentOptions{}.search_horizontal.value()),
                        "Compare layout and positions on a map: a wrong coordinate system or datum moves all of "
                        "either. Move the "
                        "layout, correct the positions, or survey a corner of it and give it as control.");
        }
    }
}

}  // namespace heatrow
