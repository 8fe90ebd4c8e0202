#include "frame_pass.hpp"

#include "camera_optics.hpp"
#include "heatrow/camera/posed_camera.hpp"
#include "heatrow/georeference/corner_placement.hpp"
#include "heatrow/georeference/flights.hpp"
#include "heatrow/georeference/frame_lock.hpp"
#include "heatrow/georeference/naming.hpp"
#include "heatrow/io/flat_field_map.hpp"
#include "heatrow/io/frame_reader.hpp"
#include "heatrow/io/sha256.hpp"
#include "heatrow/io/temperature_encoding.hpp"
#include "heatrow/radiometry/count_table.hpp"
#include "heatrow/segment/sample.hpp"
#include "heatrow/sun/module_temperature.hpp"
#include "parallel_items.hpp"
#include "view_conditions.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

namespace heatrow {
namespace {

using FrameOrRejection = tl::expected<AcceptedFrame, Rejection>;

// Decodes bytes and holds them against what survey.toml says of camera and encoding.
FrameOrRejection accept_frame(const SurveyInputs& inputs,
                              std::span<const std::uint8_t> bytes,
                              const std::string& name) {
    auto frame = decode_frame(bytes, name);
    if (!frame) {
        return tl::unexpected(frame.error());
    }
    const Lens& lens = inputs.lens;
    if (frame->counts.width() != lens.width_px || frame->counts.height() != lens.height_px) {
        return tl::unexpected(Rejection{RejectReason::wrong_size,
                                        fmt::format("{} is {} x {} px, the camera is {} x {} px",
                                                    name,
                                                    frame->counts.width(),
                                                    frame->counts.height(),
                                                    lens.width_px,
                                                    lens.height_px)});
    }
    const CountSummary summary = summarise_counts(*frame, inputs.settings.temperature.encoding.nodata);
    if (const auto range =
            check_plausible(summary, frame->is_float, inputs.settings.temperature.encoding, inputs.profile);
        !range) {
        return tl::unexpected(range.error());
    }
    if (inputs.flat_field) {
        subtract_flat_field(
            frame->counts, inputs.flat_field->view(), inputs.settings.temperature.encoding.nodata, summary.range_end);
    }
    return AcceptedFrame{std::move(frame->counts), summary.range_end};
}

}  // namespace

tl::expected<AcceptedFrame, Rejection> read_accepted(const SurveyInputs& inputs, std::size_t frame) {
    const FrameFile& file = inputs.files[frame];
    const auto bytes = read_file_bytes(file.path);
    return bytes ? accept_frame(inputs, *bytes, file.name) : FrameOrRejection(tl::unexpected(bytes.error()));
}

namespace {

// Motion of the camera during one detector time constant, m, from the logged positions of the frames before and after;
// NaN where they are missing or far apart in time (the camera may have turned in between), or the detector is not
// known.
Eigen::Vector3d camera_motion(const SurveyInputs& inputs, std::size_t i) {
    constexpr std::chrono::seconds kLongestPause{10};
    const std::vector<FramePrior>& frames = inputs.frames.priors;
    const std::optional<double>& time_constant_ms = inputs.settings.frame_camera().time_constant_ms;
    const FramePrior& before = frames[i > 0 ? i - 1 : i];
    const FramePrior& after = frames[i + 1 < frames.size() ? i + 1 : i];
    const std::chrono::duration<double> elapsed = after.time - before.time;
    if (!before.pose || !after.pose || !time_constant_ms || elapsed.count() <= 0.0 || elapsed > kLongestPause) {
        return Eigen::Vector3d::Constant(kNaN);
    }
    return (after.pose->position_in_site - before.pose->position_in_site) *
           (*time_constant_ms / 1000.0 / elapsed.count());
}

// The same for a lock, which takes a motion that is not known for none.
Eigen::Vector3d known_camera_motion(const SurveyInputs& inputs, std::size_t i) {
    const Eigen::Vector3d motion = camera_motion(inputs, i);
    return motion.allFinite() ? motion : Eigen::Vector3d::Zero();
}

LockOptions lock_options(const SurveyInputs& inputs, std::size_t i) {
    LockOptions options;
    options.blur_sigma_px = inputs.settings.frame_camera().blur_sigma_px;
    options.camera_motion_in_site = known_camera_motion(inputs, i);
    options.nodata = inputs.settings.temperature.encoding.nodata.value_or(kNaN);
    return options;
}

tl::expected<LockedFrame, Rejection> place_frame(const SurveyInputs& inputs,
                                                 const LayoutIndex& site,
                                                 std::size_t i,
                                                 const FlightAlignment& alignment,
                                                 CountView counts) {
    const FramePrior& prior = inputs.frames.priors[i];
    const LockOptions options = lock_options(inputs, i);
    if (inputs.settings.frames.placement == FrameSettings::Placement::poses) {
        return lock_frame(site, inputs.lens, prior, alignment, counts, options);
    }
    const auto placed = place_by_corner_points(inputs.lens, prior);
    if (!placed) {
        return placed;
    }
    const auto polished = polish_pose(site, inputs.lens, placed->pose, placed->covariance, counts, options);
    // Points picked by hand are good enough where the edges do not carry a lock of their own.
    return polished ? polished : placed;
}

SampleOptions sample_options(const SurveyInputs& inputs) {
    const CameraSettings& camera = inputs.settings.frame_camera();
    const Profile& profile = inputs.profile;
    SampleOptions options;
    options.nodata = inputs.settings.temperature.encoding.nodata.value_or(kNaN);
    // the profile counts pixels of the detector
    options.minimum_cell_px = profile.minimum_pixels_per_cell.value / camera.native_share();
    options.minimum_elevation = degrees(profile.minimum_elevation_to_plane_deg.value);
    options.maximum_smear_px = profile.maximum_smear_px.value;
    options.spread = point_spread(optics_of(inputs));
    options.sheet = CellSheet{};
    return options;
}

// Of the light on a loaded module, what becomes heat: absorbed 0.9, exported 0.2 (common practice, no source). Faiman's
// coefficients relate the rise to all of the light, a sheet loses only what becomes heat.
constexpr double kHeatShare = 0.7;

FrameCircumstances circumstances_of(const SurveyInputs& inputs, std::size_t frame, std::optional<float> range_end) {
    FrameCircumstances circumstances;
    circumstances.camera_motion_in_site = camera_motion(inputs, frame);
    circumstances.highest_count = range_end ? double{*range_end} : kNaN;
    // Rounded, so that frames share fits; where wind is not known, the sheet's own loss stands.
    const double wind = inputs.frame_conditions[frame]->wind.value.value();
    if (std::isfinite(wind)) {
        const FaimanCoefficients loss;
        circumstances.loss_w_m2k = kHeatShare * (loss.u0 + loss.u1 * 0.5 * std::round(2.0 * wind));
    }
    return circumstances;
}

ModuleSight sight_of(const LayoutIndex& site, const FramePose& pose, const ModuleSlot& slot) {
    return {pose.position_in_site,
            site.centre_in_site(slot.module),
            site.normal_in_site(slot.module),
            slot.view_angle,
            site.layout().type_of(site.module(slot.module)).front};
}

// The table for the counts of one slot and no more.
CountTable table_for(const ModuleSlot& slot, const ObjectConditions& conditions, const SurveyInputs& inputs) {
    const TemperatureEncoding& encoding = inputs.settings.temperature.encoding;
    double low_c = HUGE_VAL;
    double high_c = -HUGE_VAL;
    for (const CellSample& cell : slot.cells) {
        for (const float count : {cell.mean, cell.hottest}) {
            const double exported_c = exported_temperature(double{count}, encoding).value();
            low_c = std::fmin(low_c, exported_c);
            high_c = std::fmax(high_c, exported_c);
        }
    }
    return {encoding, conditions, inputs.band, Celsius(low_c), Celsius(high_c)};
}

ModuleView view_of(const ModuleSlot& slot, int frame, double native_share, const CountTable& table) {
    ModuleView view;
    view.frame = frame;
    view.flags = slot.flags;
    view.view_angle = slot.view_angle;
    view.cell_short_px = slot.cell_short_px * native_share;
    for (const CellSample& cell : slot.cells) {
        view.mean_c.push_back(static_cast<float>(table.temperature(double{cell.mean}).value()));
        view.hottest_c.push_back(static_cast<float>(table.temperature(double{cell.hottest}).value()));
        view.spread_k.push_back(static_cast<float>(double{cell.spread} * table.slope_k_per_count(double{cell.mean})));
        view.pixels.push_back(cell.pixels);
    }
    return view;
}

// Samples a frame at its pose, and converts.
void measure_frame(const SurveyInputs& inputs,
                   const LayoutIndex& site,
                   const ModuleSampler& sampler,
                   const ViewConditions& view_conditions,
                   const AcceptedFrame& frame,
                   const LockedFrame& placed,
                   FrameOutcome& outcome) {
    SlotRecord& record = outcome.record;
    const auto i = static_cast<std::size_t>(record.frame);
    record.pose = placed.pose;
    record.pose_covariance = placed.covariance;
    record.lock_rms_px = placed.rms_px;
    record.edges_used = placed.edges_used;
    record.slip_margin = placed.slip_margin;
    record.votes = placed.votes;
    record.table_shifts = placed.table_shifts;
    record.slots = sampler.sample(
        PosedCamera(inputs.lens, placed.pose), frame.counts.view(), circumstances_of(inputs, i, frame.range_end));
    std::erase_if(record.slots, [&](const ModuleSlot& slot) {
        return std::binary_search(placed.contradicted.begin(), placed.contradicted.end(), slot.module);
    });
    const double native_share = inputs.settings.frame_camera().native_share();
    outcome.views.clear();
    outcome.view_conditions.clear();
    for (const ModuleSlot& slot : record.slots) {
        const ObjectConditions conditions =
            view_conditions.of(sight_of(site, placed.pose, slot), *inputs.frame_conditions[i]);
        outcome.views.push_back(view_of(slot, record.frame, native_share, table_for(slot, conditions, inputs)));
        outcome.view_conditions.push_back(conditions);
    }
}

FrameOutcome process_frame(const SurveyInputs& inputs,
                           const LayoutIndex& site,
                           const FlightAlignment& alignment,
                           const ModuleSampler& sampler,
                           const ViewConditions& view_conditions,
                           std::size_t i) {
    FrameOutcome outcome;
    outcome.record.frame = static_cast<int>(i);
    const auto bytes = read_file_bytes(inputs.files[i].path);
    if (!bytes) {
        outcome.rejection = bytes.error();
        return outcome;
    }
    outcome.bytes = bytes->size();
    outcome.sha256 = sha256_of(*bytes);
    if (!inputs.frame_conditions[i]) {
        outcome.rejection = inputs.frame_conditions[i].error();
        return outcome;
    }
    const auto frame = accept_frame(inputs, *bytes, inputs.files[i].name);
    if (!frame) {
        outcome.rejection = frame.error();
        return outcome;
    }
    const auto placed = place_frame(inputs, site, i, alignment, std::as_const(frame->counts).view());
    if (!placed) {
        outcome.rejection = placed.error();
        return outcome;
    }
    measure_frame(inputs, site, sampler, view_conditions, *frame, *placed, outcome);
    SlotRecord& record = outcome.record;
    if (const FramePrior& prior = inputs.frames.priors[i];
        prior.pose && inputs.settings.frames.placement == FrameSettings::Placement::poses) {
        const ExpectedPose expected = expected_pose(alignment, prior);
        record.expected_position_in_site = expected.pose.position_in_site;
        record.slip_margin = std::min(record.slip_margin, expected.margin);
    }
    return outcome;
}

// From the place where the frame was locked to the one that it was given; the lattice fits there to some centimetres.
tl::expected<LockedFrame, Rejection> lock_at(const SurveyInputs& inputs,
                                             const LayoutIndex& site,
                                             const SlotRecord& record,
                                             LatticeOffset offset,
                                             CountView counts) {
    constexpr double kPosition_m = 0.1;
    constexpr double kAttitude = 0.005;
    FramePose start = record.pose;
    start.position_in_site += offset.along * site.pitch_along() + offset.across * site.pitch_across();
    Matrix6d covariance = Matrix6d::Zero();
    covariance.diagonal() << Eigen::Vector3d::Constant(kPosition_m * kPosition_m),
        Eigen::Vector3d::Constant(kAttitude * kAttitude);
    const auto i = static_cast<std::size_t>(record.frame);
    return polish_pose(site, inputs.lens, start, covariance, counts, lock_options(inputs, i));
}

// The second of two frames with the same bytes adds no evidence, only weight.
void reject_duplicates(std::vector<FrameOutcome>& outcomes, const std::vector<FrameFile>& files) {
    std::map<std::string, std::size_t> first_with;
    for (std::size_t i = 0; i < outcomes.size(); ++i) {
        FrameOutcome& outcome = outcomes[i];
        if (outcome.sha256.empty()) {
            continue;
        }
        const auto [first, is_new] = first_with.emplace(outcome.sha256, i);
        if (!is_new && !outcome.rejection) {
            outcome.rejection = Rejection{RejectReason::duplicate, "the same bytes as " + files[first->second].name};
            outcome.record.slots.clear();
            outcome.views.clear();
            outcome.view_conditions.clear();
        }
    }
}

FlightAlignment scout_flight(const SurveyInputs& inputs,
                             const LayoutIndex& site,
                             const std::vector<std::size_t>& flight,
                             int threads,
                             const Progress& progress) {
    std::vector<FramePrior> priors;
    for (const std::size_t frame : flight) {
        priors.push_back(inputs.frames.priors[frame]);
    }
    const std::vector<int> chosen = choose_scout_frames(priors);
    std::vector<FrameOrRejection> decoded(chosen.size(), tl::unexpected(Rejection{}));
    for_each_item(chosen.size(), threads, "scouting the flight", progress, [&](std::size_t i) {
        decoded[i] = read_accepted(inputs, flight[static_cast<std::size_t>(chosen[i])]);
    });
    std::vector<ScoutFrame> frames;
    for (std::size_t i = 0; i < chosen.size(); ++i) {
        if (decoded[i]) {
            const std::size_t frame = flight[static_cast<std::size_t>(chosen[i])];
            frames.push_back({&inputs.frames.priors[frame],
                              std::as_const(decoded[i]->counts).view(),
                              known_camera_motion(inputs, frame)});
        }
    }
    AlignmentOptions options;
    options.nodata = inputs.settings.temperature.encoding.nodata.value_or(kNaN);
    options.blur_sigma_px = inputs.settings.frame_camera().blur_sigma_px;
    options.for_each = [threads](std::size_t count, const std::function<void(std::size_t)>& work) {
        for_each_item(count, threads, "", {}, work);
    };
    return align_flight(site, inputs.lens, frames, options);
}

}  // namespace

SurveyAlignment scout_flights(const SurveyInputs& inputs,
                              const LayoutIndex& site,
                              int threads,
                              const Progress& progress) {
    SurveyAlignment alignment;
    if (inputs.settings.frames.placement == FrameSettings::Placement::corner_points) {
        alignment.flights.push_back(fixed_by_points());
        alignment.flight_of_frame.assign(inputs.files.size(), 0);
        return alignment;
    }
    alignment.flight_of_frame = split_flights(inputs.frames.priors);
    const int last = *std::max_element(alignment.flight_of_frame.begin(), alignment.flight_of_frame.end());
    for (int flight = 0; flight <= last; ++flight) {
        std::vector<std::size_t> frames;
        for (std::size_t i = 0; i < alignment.flight_of_frame.size(); ++i) {
            if (alignment.flight_of_frame[i] == flight) {
                frames.push_back(i);
            }
        }
        alignment.flights.push_back(scout_flight(inputs, site, frames, threads, progress));
    }
    return alignment;
}

std::vector<FrameOutcome> run_frame_pass(const SurveyInputs& inputs,
                                         const LayoutIndex& site,
                                         const SurveyAlignment& alignment,
                                         int threads,
                                         const Progress& progress) {
    const ModuleSampler sampler(site, sample_options(inputs));
    const ViewConditions view_conditions(inputs);
    std::vector<FrameOutcome> outcomes(inputs.files.size());
    for_each_item(outcomes.size(), threads, "measuring frames", progress, [&](std::size_t i) {
        outcomes[i] = process_frame(inputs, site, alignment.of(i), sampler, view_conditions, i);
    });
    reject_duplicates(outcomes, inputs.files);
    return outcomes;
}

int move_frames(const SurveyInputs& inputs,
                const LayoutIndex& site,
                std::vector<FrameName>& names,
                int threads,
                const Progress& progress,
                std::vector<FrameOutcome>& outcomes) {
    std::vector<std::size_t> moved;
    for (std::size_t i = 0; i < names.size(); ++i) {
        if (names[i].named && names[i].offset != LatticeOffset{}) {
            moved.push_back(i);
        }
    }
    if (moved.empty()) {
        return 0;
    }
    const ModuleSampler sampler(site, sample_options(inputs));
    const ViewConditions view_conditions(inputs);
    for_each_item(moved.size(), threads, "measuring moved frames", progress, [&](std::size_t item) {
        const std::size_t i = moved[item];
        FrameOutcome& outcome = outcomes[i];
        const auto frame = read_accepted(inputs, i);
        const auto placed =
            frame ? lock_at(inputs, site, outcome.record, names[i].offset, std::as_const(frame->counts).view())
                  : tl::expected<LockedFrame, Rejection>(tl::unexpected(frame.error()));
        if (placed) {
            measure_frame(inputs, site, sampler, view_conditions, *frame, *placed, outcome);
            names[i].offset = {};
        } else {
            outcome.rejection = placed.error();
            outcome.record.slots.clear();
            outcome.views.clear();
            outcome.view_conditions.clear();
        }
    });
    return static_cast<int>(moved.size());
}

}  // namespace heatrow
