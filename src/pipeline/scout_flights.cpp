#include "scout_flights.hpp"

#include "camera_optics.hpp"
#include "frame_sites.hpp"
#include "heatrow/georeference/flights.hpp"
#include "heatrow/georeference/naming.hpp"
#include "heatrow/pipeline/threads.hpp"
#include "parallel_items.hpp"
#include "place_frame.hpp"
#include "read_frame.hpp"

#include <algorithm>
#include <iterator>
#include <utility>

namespace heatrow {
namespace {

std::vector<ControlMark> marks_to_use(const SurveyInputs& inputs, std::size_t frame) {
    std::vector<ControlMark> marks;
    std::copy_if(inputs.marks.begin(), inputs.marks.end(), std::back_inserter(marks), [frame](const ControlMark& mark) {
        return !mark.held && static_cast<std::size_t>(mark.frame) == frame;
    });
    return marks;
}

// Frames with known pixels or control points are scouted too; a few tell as much as all of them.
std::vector<int> with_marked_frames(const SurveyInputs& inputs,
                                    const std::vector<std::size_t>& flight,
                                    std::vector<int> chosen) {
    constexpr std::size_t kMostMarked = 24;
    std::vector<int> marked;
    for (std::size_t i = 0; i < flight.size(); ++i) {
        if (is_logged(inputs, flight[i]) && !marks_to_use(inputs, flight[i]).empty()) {
            marked.push_back(static_cast<int>(i));
        }
    }
    const std::size_t count = std::min(marked.size(), kMostMarked);
    for (std::size_t i = 0; i < count; ++i) {
        chosen.push_back(marked[i * marked.size() / count]);
    }
    std::sort(chosen.begin(), chosen.end());
    chosen.erase(std::unique(chosen.begin(), chosen.end()), chosen.end());
    return chosen;
}

// Everything that the alignment of the flight depends on; empty where nothing is kept, or a scout frame cannot be read.
RecordKey scout_key(const SurveyInputs& inputs,
                    const LayoutIndex& site,
                    const FrameSites& sites,
                    const std::vector<std::size_t>& flight,
                    const std::vector<int>& chosen,
                    SlotCache& cache) {
    if (!cache.is_open()) {
        return {};
    }
    KeyMaker key = cache.key(site);
    key.add(inputs.lens.focal_px);  // may have been solved
    key.add(inputs.lens.k1);
    for (const std::size_t frame : flight) {
        key.add(inputs.frames.priors[frame]);  // the way of the flight is that of all its frames
    }
    for (const int place : chosen) {
        const std::size_t frame = flight[static_cast<std::size_t>(place)];
        if (inputs.trackers) {
            key.add(cache.key(sites.of(frame)).make());
        }
        const auto file = cache.look_up(inputs.files[frame]);
        if (!file) {
            return {};
        }
        key.add(known_camera_motion(inputs, frame));
        key.add(file->sha256);
        for (const ControlMark& mark : marks_to_use(inputs, frame)) {
            key.add(mark.pixel.x());
            key.add(mark.pixel.y());
            key.add(mark.point_in_site);
            key.add(mark.sd_m);
        }
    }
    return key.make();
}

FlightAlignment scout_flight(const SurveyInputs& inputs,
                             const LayoutIndex& site,
                             const FrameSites& sites,
                             const std::vector<std::size_t>& flight,
                             int threads,
                             const Progress& progress,
                             SlotCache& cache) {
    std::vector<FramePrior> priors;
    for (const std::size_t frame : flight) {
        priors.push_back(inputs.frames.priors[frame]);
        if (!is_logged(inputs, frame)) {
            priors.back().pose.reset();  // what was filled in tells nothing of drift
        }
    }
    const std::vector<int> chosen = with_marked_frames(inputs, flight, choose_scout_frames(priors));
    const RecordKey key = scout_key(inputs, site, sites, flight, chosen, cache);
    if (const auto kept = cache.find_alignment(key)) {
        return *kept;
    }
    std::vector<tl::expected<AcceptedFrame, Rejection>> decoded(chosen.size(), tl::unexpected(Rejection{}));
    for_each_item(chosen.size(), threads, "scouting the flight", progress, [&](std::size_t i) {
        decoded[i] = read_accepted(inputs, flight[static_cast<std::size_t>(chosen[i])]);
    });
    std::vector<ScoutFrame> frames;
    for (std::size_t i = 0; i < chosen.size(); ++i) {
        if (decoded[i]) {
            const std::size_t frame = flight[static_cast<std::size_t>(chosen[i])];
            frames.push_back({&inputs.frames.priors[frame],
                              std::as_const(decoded[i]->counts).view(),
                              known_camera_motion(inputs, frame),
                              marks_to_use(inputs, frame),
                              &sites.of(frame)});
        }
    }
    AlignmentOptions options;
    options.ways = flight_ways(priors);
    options.nodata = inputs.settings.temperature.encoding.nodata.value_or(kNaN);
    options.attitude_sd = attitude_scatter(inputs);
    options.blur_sigma_px = edge_blur_px(inputs);
    options.for_each = on_threads(threads);
    FlightAlignment alignment = align_flight(site, inputs.lens, frames, options);
    cache.keep_alignment(key, alignment);
    return alignment;
}

}  // namespace

SurveyAlignment scout_flights(
    const SurveyInputs& inputs, const LayoutIndex& site, int threads, const Progress& progress, SlotCache& cache) {
    SurveyAlignment alignment;
    if (inputs.settings.frames.placement == FrameSettings::Placement::corner_points) {
        alignment.flights.push_back(fixed_by_points());
        alignment.flight_of_frame.assign(inputs.files.size(), 0);
        return alignment;
    }
    alignment.flight_of_frame = split_flights(inputs.frames.priors);
    const FrameSites sites(inputs, site);
    const int last = *std::max_element(alignment.flight_of_frame.begin(), alignment.flight_of_frame.end());
    for (int flight = 0; flight <= last; ++flight) {
        std::vector<std::size_t> frames;
        for (std::size_t i = 0; i < alignment.flight_of_frame.size(); ++i) {
            if (alignment.flight_of_frame[i] == flight) {
                frames.push_back(i);
            }
        }
        alignment.flights.push_back(scout_flight(inputs, site, sites, frames, threads, progress, cache));
    }
    return alignment;
}

}  // namespace heatrow
