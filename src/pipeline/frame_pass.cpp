#include "frame_pass.hpp"

#include "frame_sites.hpp"
#include "heatrow/camera/posed_camera.hpp"
#include "heatrow/segment/sample.hpp"
#include "parallel_items.hpp"
#include "place_frame.hpp"
#include "read_frame.hpp"
#include "sample_settings.hpp"
#include "slot_views.hpp"
#include "view_conditions.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

namespace heatrow {
namespace {

// All that the rest of the run asks of a slot's counts is their median.
void keep_middle_cells(ModuleSlot& slot) {
    std::vector<CellSample>& cells = slot.cells;
    std::erase_if(cells, [](const CellSample& cell) { return !std::isfinite(cell.mean); });
    std::sort(cells.begin(), cells.end(), [](const CellSample& a, const CellSample& b) { return a.mean < b.mean; });
    if (!cells.empty()) {
        const auto last = static_cast<std::ptrdiff_t>(cells.size() / 2);
        const auto first = static_cast<std::ptrdiff_t>((cells.size() - 1) / 2);
        cells = std::vector<CellSample>(cells.begin() + first, cells.begin() + last + 1);
    }
}

void drop_slots(FrameOutcome& outcome) {
    outcome.record.slots.clear();
    outcome.spread = {};
    outcome.views.clear();
    outcome.view_conditions.clear();
}

// Frames of one run on one site.
class FrameMeasurer {
  public:
    FrameMeasurer(const SurveyInputs& inputs, const LayoutIndex& site, SlotCache& cache)
        : inputs_(inputs),
          sites_(inputs, site),
          cache_(cache),
          options_(sample_options(inputs)),
          samplers_(sites_, options_),
          view_conditions_(inputs) {
        for (std::size_t i = 0; cache.is_open() && i < sites_.count(); ++i) {
            keys_.push_back(cache.key(sites_.site(i)));
            keys_.back().add(inputs.lens.focal_px);  // may have been solved
            keys_.back().add(inputs.lens.k1);
        }
    }

    // Everything from the file on.
    FrameOutcome measure(std::size_t i, const FlightAlignment& alignment) const {
        FrameOutcome outcome;
        outcome.record.frame = static_cast<int>(i);
        auto file = cache_.look_up(inputs_.files[i]);
        if (!file) {
            outcome.rejection = file.error();
            return outcome;
        }
        outcome.bytes = file->bytes;
        outcome.sha256 = file->sha256;
        if (!inputs_.frame_conditions[i]) {
            outcome.rejection = inputs_.frame_conditions[i].error();
            return outcome;
        }
        KeyMaker key = frame_key(outcome);
        key.add(alignment);
        from_cache_or_pixels(key, outcome, [&] {
            const auto frame = file->content.empty() ? read_accepted(inputs_, i)
                                                     : accept_frame(inputs_, file->content, inputs_.files[i].name);
            if (!frame) {
                outcome.rejection = frame.error();
                return;
            }
            sample(*frame, place_frame(inputs_, sites_.of(i), i, alignment, frame->counts.view()), outcome);
            const FramePrior& prior = inputs_.frames.priors[i];
            if (!outcome.rejection && prior.pose &&
                inputs_.settings.frames.placement == FrameSettings::Placement::poses) {
                SlotRecord& record = outcome.record;
                const ExpectedPose expected = expected_pose(alignment, prior);
                record.expected_position_in_site = expected.pose.position_in_site;
                record.slip_margin = std::min(record.slip_margin, expected.margin);
            }
        });
        return outcome;
    }

    // A measured frame, locked again some pitches away.
    void measure_at(LatticeOffset offset, FrameOutcome& outcome) const {
        KeyMaker key = frame_key(outcome);
        key.add("moved");
        key.add(outcome.record.pose);
        key.add(offset.along);
        key.add(offset.across);
        key.add(outcome.record.expected_position_in_site);
        key.add(outcome.record.slip_margin);
        from_cache_or_pixels(key, outcome, [&] {
            const auto i = static_cast<std::size_t>(outcome.record.frame);
            const auto frame = read_accepted(inputs_, i);
            if (!frame) {
                outcome.rejection = frame.error();
                return;
            }
            sample(*frame, lock_at(inputs_, sites_.of(i), outcome.record, offset, frame->counts.view()), outcome);
        });
    }

  private:
    KeyMaker frame_key(const FrameOutcome& outcome) const {
        const auto i = static_cast<std::size_t>(outcome.record.frame);
        const FrameCircumstances circumstances = circumstances_of(inputs_, i);
        KeyMaker key = keys_.empty() ? KeyMaker() : keys_[sites_.number_of(i)];
        key.add(outcome.sha256);
        key.add(inputs_.frames.priors[i]);
        key.add(inputs_.filled_u_m[i]);
        key.add(circumstances.camera_motion_in_site);
        key.add(circumstances.loss_w_m2k);
        return key;
    }

    template <typename Look>
    void from_cache_or_pixels(const KeyMaker& maker, FrameOutcome& outcome, const Look& look) const {
        const RecordKey key = cache_.is_open() ? maker.make() : RecordKey();
        if (!cache_.find_outcome(key, outcome)) {
            look();
            // What cannot be read now may be readable another time.
            if (!outcome.rejection || outcome.rejection->reason != RejectReason::unreadable) {
                cache_.keep_outcome(key, outcome);
            }
        }
        if (outcome.rejection) {
            drop_slots(outcome);
            return;
        }
        for (ModuleSlot& slot : outcome.record.slots) {
            judge_view(options_, slot);  // by the profile of this run
        }
        SlotViews converted = views_of(
            inputs_, sites_.of(static_cast<std::size_t>(outcome.record.frame)), view_conditions_, outcome.record);
        outcome.views = cache_.views().put_away(std::move(converted.views));
        for (ModuleSlot& slot : outcome.record.slots) {
            keep_middle_cells(slot);
        }
        outcome.view_conditions = std::move(converted.conditions);
    }

    // Samples a frame at its pose.
    void sample(const AcceptedFrame& frame,
                const tl::expected<LockedFrame, Rejection>& placed,
                FrameOutcome& outcome) const {
        if (!placed) {
            outcome.rejection = placed.error();
            return;
        }
        SlotRecord& record = outcome.record;
        record.pose = placed->pose;
        record.pose_covariance = placed->covariance;
        record.lock_rms_px = placed->rms_px;
        record.edges_used = placed->edges_used;
        record.slip_margin = placed->slip_margin;
        record.votes = placed->votes;
        record.table_shifts = placed->table_shifts;
        const auto i = static_cast<std::size_t>(record.frame);
        FrameCircumstances circumstances = circumstances_of(inputs_, i, frame);
        if (placed->measured_motion_in_site) {
            circumstances.camera_motion_in_site = *placed->measured_motion_in_site;
        }
        record.slots =
            samplers_.of(i).sample(PosedCamera(inputs_.lens, placed->pose), frame.counts.view(), circumstances);
        std::erase_if(record.slots, [&](const ModuleSlot& slot) {
            return std::binary_search(placed->contradicted.begin(), placed->contradicted.end(), slot.module);
        });
        outcome.spread = band_spread(sites_.of(static_cast<std::size_t>(record.frame)),
                                     record.slots,
                                     PosedCamera(inputs_.lens, placed->pose),
                                     frame.counts.view(),
                                     options_.nodata);
    }

    const SurveyInputs& inputs_;
    FrameSites sites_;
    SlotCache& cache_;
    SampleOptions options_;
    FrameSamplers samplers_;
    ViewConditions view_conditions_;
    std::vector<KeyMaker> keys_;  // by site; empty where nothing is kept
};

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
            drop_slots(outcome);
        }
    }
}

}  // namespace

std::vector<FrameOutcome> run_frame_pass(const SurveyInputs& inputs,
                                         const LayoutIndex& site,
                                         const SurveyAlignment& alignment,
                                         int threads,
                                         const Progress& progress,
                                         SlotCache& cache) {
    const FrameMeasurer measurer(inputs, site, cache);
    std::vector<FrameOutcome> outcomes(inputs.files.size());
    for_each_item(outcomes.size(), threads, "measuring frames", progress, [&](std::size_t i) {
        outcomes[i] = measurer.measure(i, alignment.of(i));
    });
    reject_duplicates(outcomes, inputs.files);
    return outcomes;
}

int move_frames(const SurveyInputs& inputs,
                const LayoutIndex& site,
                std::vector<FrameName>& names,
                int threads,
                const Progress& progress,
                SlotCache& cache,
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
    const FrameMeasurer measurer(inputs, site, cache);
    for_each_item(moved.size(), threads, "measuring moved frames", progress, [&](std::size_t item) {
        const std::size_t i = moved[item];
        measurer.measure_at(names[i].offset, outcomes[i]);
        if (!outcomes[i].rejection) {
            names[i].offset = {};
        }
    });
    return static_cast<int>(moved.size());
}

}  // namespace heatrow
