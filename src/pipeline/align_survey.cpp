#include "align_survey.hpp"

#include "frame_sites.hpp"
#include "heatrow/georeference/lens_refinement.hpp"
#include "heatrow/pipeline/threads.hpp"
#include "parallel_items.hpp"
#include "place_frame.hpp"
#include "read_frame.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

namespace heatrow {
namespace {

constexpr std::size_t kMostLensFrames = 48;  // bounds memory and time (own choice)

// Frames to solve the lens over: the scout frames of all flights, thinned evenly.
std::vector<std::size_t> lens_frames(const SurveyInputs& inputs, const SurveyAlignment& alignment) {
    std::vector<std::size_t> chosen;
    for (int flight = 0; flight < static_cast<int>(alignment.flights.size()); ++flight) {
        std::vector<FramePrior> priors;
        std::vector<std::size_t> frames;
        for (std::size_t i = 0; i < alignment.flight_of_frame.size(); ++i) {
            if (alignment.flight_of_frame[i] == flight) {
                priors.push_back(inputs.frames.priors[i]);
                frames.push_back(i);
            }
        }
        for (const int one : choose_scout_frames(priors)) {
            chosen.push_back(frames[static_cast<std::size_t>(one)]);
        }
    }
    std::vector<std::size_t> thinned;
    const std::size_t count = std::min(chosen.size(), kMostLensFrames);
    for (std::size_t i = 0; i < count; ++i) {
        thinned.push_back(chosen[i * chosen.size() / count]);
    }
    return thinned;
}

tl::expected<LensRefinement, std::string> solve_lens(const SurveyInputs& inputs,
                                                     const LayoutIndex& site,
                                                     const SurveyAlignment& alignment,
                                                     int threads,
                                                     const Progress& progress) {
    const FrameSites sites(inputs, site);
    const std::vector<std::size_t> chosen = lens_frames(inputs, alignment);
    std::vector<tl::expected<AcceptedFrame, Rejection>> decoded(chosen.size(), tl::unexpected(Rejection{}));
    std::vector<std::optional<LensFrame>> locked(chosen.size());
    for_each_item(chosen.size(), threads, "solving the lens", progress, [&](std::size_t i) {
        const std::size_t frame = chosen[i];
        decoded[i] = read_accepted(inputs, frame);
        if (!decoded[i]) {
            return;
        }
        const CountView counts = std::as_const(decoded[i]->counts).view();
        const LockOptions options = lock_options(inputs, frame);
        const auto lock =
            lock_frame(sites.of(frame), inputs.lens, inputs.frames.priors[frame], alignment.of(frame), counts, options);
        if (lock) {
            locked[i] = LensFrame{&sites.of(frame), counts, lock->pose, options};
        }
    });
    std::vector<LensFrame> frames;
    for (const auto& one : locked) {
        if (one) {
            frames.push_back(*one);
        }
    }
    LensRefinementOptions options;
    options.for_each = on_threads(threads);
    return refine_lens(inputs.lens, frames, options);
}

std::string lens_note(const Lens& stated, const LensRefinement& refined) {
    return fmt::format(
        "The lens was solved over {} edges of {} frames: focal length {:.1f} +- {:.1f} px (stated {:.1f}), "
        "k1 {:.4f} +- {:.4f} (stated {:.4f}).",
        refined.edges,
        refined.frames,
        refined.lens.focal_px,
        refined.focal_u_px,
        stated.focal_px,
        refined.lens.k1,
        refined.k1_u,
        stated.k1);
}

// Lags that are surely there and move a frame by more than its scatter; the others are as good as none.
void note_lags(const SurveyAlignment& alignment, std::vector<std::string>& notes) {
    constexpr double kSurely = 3.0;  // standard uncertainties
    constexpr double kLeast_m = 0.2;
    for (std::size_t flight = 0; flight < alignment.flights.size(); ++flight) {
        const PositionLag& lag = alignment.flights[flight].lag;
        const double along_m = lag.seconds * lag.speed_m_s;
        if (!(std::abs(lag.seconds) > kSurely * lag.u_s && std::abs(along_m) > kLeast_m)) {
            continue;
        }
        notes.push_back(
            fmt::format("{}The logged positions are those of {:.2f} +- {:.2f} s {} the frames ({:.1f} m at "
                        "{:.1f} m/s), by which they were corrected. The clocks of camera and position log "
                        "differ by that, or positions are logged late.",
                        alignment.flights.size() > 1 ? fmt::format("Flight {}: ", flight + 1) : "",
                        std::abs(lag.seconds),
                        lag.u_s,
                        lag.seconds > 0.0 ? "before" : "after",
                        std::abs(along_m),
                        lag.speed_m_s));
    }
}

}  // namespace

SurveyAlignment align_survey(
    SurveyInputs& inputs, const LayoutIndex& site, int threads, const Progress& progress, SlotCache& cache) {
    SurveyAlignment alignment = scout_flights(inputs, site, threads, progress, cache);
    if (inputs.settings.frames.placement != FrameSettings::Placement::poses) {
        return alignment;
    }
    if (inputs.settings.frame_camera().refine) {
        if (const auto refined = solve_lens(inputs, site, alignment, threads, progress)) {
            inputs.notes.push_back(lens_note(inputs.lens, *refined));
            inputs.lens = refined->lens;
            alignment = scout_flights(inputs, site, threads, progress, cache);
        } else {
            inputs.notes.push_back("The lens stands as stated: " + refined.error() + ".");
        }
    }
    note_lags(alignment, inputs.notes);
    return alignment;
}

}  // namespace heatrow
