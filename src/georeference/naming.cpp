#include "heatrow/georeference/naming.hpp"

#include "heatrow/core/median.hpp"
#include "heatrow/georeference/barcode.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <numeric>

namespace heatrow {

namespace {

using Eigen::Vector2d;
using Eigen::Vector3d;

constexpr double kSamePlace = 0.33;  // of a pitch (own choice)
constexpr double kOverlap = 0.7;     // of what a frame shows, to the middle of another that shares modules with it

// Whole-number places for the modules of a layout. Rows need not lie whole pitches apart: modules of one row differ by
// whole steps along, and that is all that is asked of them.
class Lattice {
  public:
    explicit Lattice(const LayoutIndex& site) : site_(site), along_(site.pitch_along()), across_(site.pitch_across()) {
        if (!(along_.norm() > 0.0)) {
            along_ = Vector3d::UnitX();
        }
        if (!(across_.norm() > 0.0)) {
            // Modules one up: rows are told apart, no step leads from one to the next.
            across_ = Vector3d(-along_.y(), along_.x(), 0.0).normalized();
        }
    }

    [[nodiscard]] LatticeOffset place_of(int module) const {
        const Vector2d m = in_pitches(site_.centre_in_site(module) - site_.centre_in_site(0));
        return {static_cast<int>(std::lround(m.x())), static_cast<int>(std::lround(m.y()))};
    }
    // Metres along and across, horizontal.
    [[nodiscard]] Vector2d in_metres(const Vector3d& vector) const {
        return {vector.head<2>().dot(along_.head<2>().normalized()),
                vector.head<2>().dot(across_.head<2>().normalized())};
    }

  private:
    [[nodiscard]] Vector2d in_pitches(const Vector3d& vector) const {
        return in_metres(vector).cwiseQuotient(Vector2d(along_.head<2>().norm(), across_.head<2>().norm()));
    }

    const LayoutIndex& site_;
    Vector3d along_;
    Vector3d across_;
};

double median_count(const ModuleSlot& slot) {
    std::vector<double> means;
    for (const CellSample& cell : slot.cells) {
        means.push_back(static_cast<double>(cell.mean));
    }
    return take_median(means);
}

FrameEvidence frame_evidence(const Lattice& lattice, const SlotRecord& record, double time_s, bool rows_have_a_pitch) {
    FrameEvidence evidence;
    evidence.time_s = time_s;
    if (!record.expected_position_in_site.allFinite()) {
        evidence.known = LatticeOffset{};  // by corner points
        return evidence;
    }
    evidence.deviation_m = lattice.in_metres(record.expected_position_in_site - record.pose.position_in_site);
    if (!rows_have_a_pitch) {
        evidence.deviation_m.y() = 0.0;  // no step leads across
    }
    evidence.considered.push_back({});
    for (const PlaceVote& vote : record.votes) {
        const LatticeOffset offset{vote.along, vote.across};
        evidence.considered.push_back(offset);
        if (vote.witness >= 0) {
            // A module that would stand there is seen here less the step.
            const LatticeOffset place = lattice.place_of(vote.witness);
            evidence.votes.push_back({offset, vote.witness_stands_here ? place : place - offset, vote.log_likelihood});
        }
    }
    std::sort(evidence.considered.begin(), evidence.considered.end());
    evidence.considered.erase(std::unique(evidence.considered.begin(), evidence.considered.end()),
                              evidence.considered.end());
    return evidence;
}

// What the frames show, along and across.
struct Sight {
    Vector2d middle_m{0.0, 0.0};
    double length_m = 0.0;  // the longer side
};
Sight sight_of(const LayoutIndex& site, const Lattice& lattice, const SlotRecord& record) {
    Vector2d low = Vector2d::Constant(std::numeric_limits<double>::infinity());
    Vector2d high = -low;
    for (const ModuleSlot& slot : record.slots) {
        const Vector2d centre = lattice.in_metres(site.centre_in_site(slot.module));
        low = low.cwiseMin(centre);
        high = high.cwiseMax(centre);
    }
    return {0.5 * (low + high), (high - low).maxCoeff()};
}

}  // namespace

RecordEvidence evidence_of(const LayoutIndex& site,
                           std::span<const SlotRecord> records,
                           std::span<const double> times_s,
                           KnownOffsets known,
                           FilledPositions filled_u_m) {
    RecordEvidence result;
    for (std::size_t i = 0; i < records.size(); ++i) {
        if (!records[i].slots.empty()) {
            result.records.push_back(static_cast<int>(i));
        }
    }
    std::stable_sort(result.records.begin(), result.records.end(), [&](int a, int b) {
        return times_s[static_cast<std::size_t>(a)] < times_s[static_cast<std::size_t>(b)];
    });
    const Lattice lattice(site);
    FlightEvidence& flight = result.flight;
    flight.pitch_along_m = site.pitch_along().head<2>().norm();
    flight.pitch_across_m = site.pitch_across().head<2>().norm();
    std::vector<Vector2d> middles_m;
    std::vector<double> lengths_m;
    for (const int i : result.records) {
        const SlotRecord& record = records[static_cast<std::size_t>(i)];
        flight.frames.push_back(
            frame_evidence(lattice, record, times_s[static_cast<std::size_t>(i)], flight.pitch_across_m > 0.0));
        flight.frames.back().deviation_u_m = filled_u_m.empty() ? 0.0 : filled_u_m[static_cast<std::size_t>(i)];
        for (const PlaceVote& vote : record.votes) {
            flight.window.along = std::max(flight.window.along, std::abs(vote.along));
            flight.window.across = std::max(flight.window.across, std::abs(vote.across));
        }
        if (const auto& offset = known.empty() ? std::nullopt : known[static_cast<std::size_t>(i)]) {
            flight.frames.back().known = offset;
            flight.window.along = std::max(flight.window.along, std::abs(offset->along));
            flight.window.across = std::max(flight.window.across, std::abs(offset->across));
        }
        std::vector<BarcodeCell> cells;
        for (const ModuleSlot& slot : record.slots) {
            if (const double mean = median_count(slot); std::isfinite(mean)) {
                cells.push_back({lattice.place_of(slot.module), mean});
            }
        }
        flight.frames.back().barcode = Barcode(std::move(cells)).take();
        const Sight sight = sight_of(site, lattice, record);
        middles_m.push_back(sight.middle_m);
        lengths_m.push_back(sight.length_m);
    }
    if (!lengths_m.empty()) {
        const double reach_m = kOverlap * std::max(take_median(lengths_m), flight.pitch_along_m);
        flight.ties = tie_frames(flight, middles_m, std::max(reach_m, 1.0));
    }
    return result;
}

namespace {

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

// Segments whose control contradicts itself, or what the flight says without it; with what it would have them moved by
// from their most probable offsets.
using Contradicted = std::map<int, std::vector<LatticeOffset>>;

// Takes the control out of such segments and decides anew. Segments are made by ties alone: they stay.
Contradicted settle_contradictions(FlightEvidence& flight, const PlaceOptions& options, PlaceDecision& decision) {
    FlightEvidence uncontrolled = flight;
    bool any = false;
    for (FrameEvidence& frame : uncontrolled.frames) {
        // Corner points leave nothing to be decided; their frames have no logged position.
        if (frame.known && frame.deviation_m.allFinite()) {
            frame.known.reset();
            any = true;
        }
    }
    Contradicted contradicted;
    if (!any) {
        return contradicted;
    }
    const PlaceDecision alone = decide_places(uncontrolled, options);
    for (std::size_t frame = 0; frame < flight.frames.size(); ++frame) {
        const std::optional<LatticeOffset>& known = flight.frames[frame].known;
        const int segment = decision.segment_of[frame];
        if (!known || uncontrolled.frames[frame].known) {
            continue;
        }
        const bool is_named_elsewhere = alone.segments[at(segment)].named && alone.offsets[frame] != *known;
        if (is_named_elsewhere || decision.offsets[frame] != *known || !decision.segments[at(segment)].named) {
            contradicted.try_emplace(segment);
        }
    }
    if (contradicted.empty()) {
        return contradicted;
    }
    const FlightEvidence controlled = flight;
    for (std::size_t frame = 0; frame < flight.frames.size(); ++frame) {
        if (contradicted.contains(decision.segment_of[frame])) {
            flight.frames[frame].known.reset();
        }
    }
    decision = decide_places(flight, options);
    for (std::size_t frame = 0; frame < flight.frames.size(); ++frame) {
        const auto entry = contradicted.find(decision.segment_of[frame]);
        if (const auto& known = controlled.frames[frame].known; known && entry != contradicted.end()) {
            const LatticeOffset step = *known - decision.offsets[frame];
            auto& steps = entry->second;
            if (step != LatticeOffset{} && std::find(steps.begin(), steps.end(), step) == steps.end()) {
                steps.push_back(step);
            }
        }
    }
    return contradicted;
}

}  // namespace

std::vector<FrameName> name_frames(const LayoutIndex& site,
                                   std::span<const SlotRecord> records,
                                   std::span<const double> times_s,
                                   KnownOffsets known,
                                   FilledPositions filled_u_m,
                                   const PlaceOptions& options) {
    std::vector<FrameName> names(records.size());
    for (FrameName& name : names) {
        name.log_odds = -std::numeric_limits<double>::infinity();
    }
    RecordEvidence evidence = evidence_of(site, records, times_s, known, filled_u_m);
    PlaceDecision decision = decide_places(evidence.flight, options);
    for (const auto& [number, steps] : settle_contradictions(evidence.flight, options, decision)) {
        SegmentDecision& segment = decision.segments[at(number)];
        segment.named = false;
        segment.reason = PlaceReason::control_contradicted;
        for (const LatticeOffset& step : steps) {
            if (std::find(segment.rivals.begin(), segment.rivals.end(), step) == segment.rivals.end()) {
                segment.rivals.push_back(step);
            }
        }
    }
    for (std::size_t frame = 0; frame < evidence.records.size(); ++frame) {
        const SegmentDecision& segment = decision.segments[at(decision.segment_of[frame])];
        FrameName& name = names[at(evidence.records[frame])];
        name.offset = decision.offsets[frame];
        name.named = segment.named;
        name.reason = segment.reason;
        name.log_odds = segment.log_odds;
        name.segment = decision.segment_of[frame];
        for (const LatticeOffset& step : segment.rivals) {
            name.rivals.push_back(name.offset + step);
        }
    }
    return names;
}

std::optional<int> module_at(const LayoutIndex& site, int module, LatticeOffset offset) {
    if (offset == LatticeOffset{}) {
        return module;
    }
    const Vector3d wanted =
        site.centre_in_site(module) + offset.along * site.pitch_along() + offset.across * site.pitch_across();
    double nearest = kSamePlace * (offset.along != 0 ? site.pitch_along() : site.pitch_across()).norm();
    const Vector2d reach = Vector2d::Constant(nearest);
    std::optional<int> found;
    for (const int other : site.modules_in_box(wanted.head<2>() - reach, wanted.head<2>() + reach)) {
        if (const double distance = (site.centre_in_site(other) - wanted).norm(); distance < nearest) {
            nearest = distance;
            found = other;
        }
    }
    return found;
}

std::vector<PlacedView> name_views(const LayoutIndex& site,
                                   std::span<const SlotRecord> records,
                                   std::span<const FrameName> names) {
    std::vector<PlacedView> views;
    for (std::size_t i = 0; i < records.size(); ++i) {
        const SlotRecord& record = records[i];
        const FrameName& name = names[i];
        for (std::size_t s = 0; s < record.slots.size(); ++s) {
            const ModuleSlot& slot = record.slots[s];
            const std::optional<int> module = module_at(site, slot.module, name.offset);
            if (!module) {
                continue;
            }
            PlacedView view;
            view.frame = record.frame;
            view.slot = static_cast<int>(s);
            view.module = *module;
            view.placement = name.named ? Placement::placed : Placement::ambiguous;
            view.placement_margin = name.log_odds;
            view.corners_px = slot.corners_px;
            for (const LatticeOffset& rival : name.rivals) {
                if (const std::optional<int> other = module_at(site, slot.module, rival)) {
                    view.candidates.push_back(*other);
                }
            }
            std::sort(view.candidates.begin(), view.candidates.end());
            views.push_back(std::move(view));
        }
    }
    return views;
}

FlightAlignment fixed_by_points() {
    FlightAlignment alignment;
    alignment.margin = std::numeric_limits<double>::infinity();
    return alignment;
}

}  // namespace heatrow
