#include "frame_votes.hpp"

#include "heatrow/georeference/barcode.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace flights {

using heatrow::LatticeOffset;
using heatrow::OffsetWindow;
using heatrow::WitnessVote;

namespace {

constexpr double kReachM = 12.0;  // of the offsets that come into question: positions are 6 m off at most
// Natural log by which a thing seen where none is expected, or missed where one is, speaks in one view: about one view
// in twenty is mistaken.
constexpr double kContradiction = 3.0;

// What a frame sees of one row: runs of ground, and between them modules.
class SeenRow {
  public:
    explicit SeenRow(const std::vector<double>& means) {
        for (const double mean : means) {
            is_module_.push_back(!std::isnan(mean));
        }
        const int count = static_cast<int>(is_module_.size());
        while (first_ < count && !is_module_[static_cast<std::size_t>(first_)]) {
            ++first_;
        }
        last_ = std::max(first_, count - 1);
        while (last_ > first_ && !is_module_[static_cast<std::size_t>(last_)]) {
            --last_;
        }
    }
    [[nodiscard]] int places() const { return static_cast<int>(is_module_.size()); }
    [[nodiscard]] bool is_module(int place) const { return is_module_[static_cast<std::size_t>(place)]; }

    // The thing that a contradiction at `place` is about, so that one end is one witness wherever an offset expects it.
    // Ground is seen: the end of the row that it lies beyond, or the hole itself.
    [[nodiscard]] int witness_of_ground(int place) const {
        if (first_ >= places()) {
            return place;  // ground all along
        }
        return std::clamp(place, first_, last_);
    }
    // A module is seen; ground is expected beyond the row's low end (side -1), its high end (1), or in a hole (0).
    [[nodiscard]] int witness_of_module(int place, int side) const {
        if (side < 0 && first_ > 0) {
            return first_;
        }
        return side > 0 && last_ < places() - 1 ? last_ : place;
    }

  private:
    std::vector<bool> is_module_;
    int first_ = 0;  // outermost modules seen
    int last_ = 0;
};

void add_votes(const FlightFile& flight,
               const SeenFrame& frame,
               LatticeOffset at_zero,
               const OffsetWindow& window,
               std::vector<WitnessVote>& votes) {
    std::vector<int> witnesses;
    for (int row = 0; row < static_cast<int>(frame.means_k.size()); ++row) {
        const SeenRow seen(frame.means_k[static_cast<std::size_t>(row)]);
        for (int i = 0; i < window.size(); ++i) {
            const LatticeOffset offset = window.at(i);
            const int layout_row = row + at_zero.across + offset.across;
            const bool exists = layout_row >= 0 && layout_row < static_cast<int>(flight.rows.size());
            witnesses.clear();
            for (int place = 0; place < seen.places(); ++place) {
                const int there = place + at_zero.along + offset.along;
                const LayoutRow* layout = exists ? &flight.rows[static_cast<std::size_t>(layout_row)] : nullptr;
                const bool expected = layout != nullptr && layout->has(there);
                if (seen.is_module(place) == expected) {
                    continue;
                }
                int side = 0;
                if (layout != nullptr && there < layout->first) {
                    side = -1;
                } else if (layout != nullptr && there >= layout->first + layout->count) {
                    side = 1;
                }
                witnesses.push_back(expected ? seen.witness_of_ground(place) : seen.witness_of_module(place, side));
            }
            // However many places contradict, one thing is mistaken.
            std::sort(witnesses.begin(), witnesses.end());
            witnesses.erase(std::unique(witnesses.begin(), witnesses.end()), witnesses.end());
            for (const int place : witnesses) {
                votes.push_back({offset, {place + at_zero.along, row + at_zero.across}, -kContradiction});
            }
        }
    }
}

heatrow::Barcode barcode_of(const SeenFrame& frame, LatticeOffset at_zero) {
    std::vector<heatrow::BarcodeCell> cells;
    for (std::size_t row = 0; row < frame.means_k.size(); ++row) {
        for (std::size_t place = 0; place < frame.means_k[row].size(); ++place) {
            if (const double mean = frame.means_k[row][place]; !std::isnan(mean)) {
                cells.push_back({LatticeOffset{static_cast<int>(place), static_cast<int>(row)} + at_zero, mean});
            }
        }
    }
    return heatrow::Barcode(std::move(cells));
}

}  // namespace

FlightCase evidence_of(const FlightFile& flight) {
    FlightCase result;
    heatrow::FlightEvidence& evidence = result.evidence;
    evidence.pitch_along_m = flight.pitch_m;
    evidence.pitch_across_m = flight.row_pitch_m;
    evidence.window = {static_cast<int>(std::ceil(kReachM / flight.pitch_m)),
                       static_cast<int>(std::ceil(kReachM / flight.row_pitch_m))};
    std::vector<Eigen::Vector2d> middles_m;
    double reach_m = flight.row_pitch_m;
    for (const SeenFrame& frame : flight.frames) {
        const LatticeOffset at_zero{static_cast<int>(std::lround(frame.along_m / flight.pitch_m)),
                                    static_cast<int>(std::lround(frame.across_m / flight.row_pitch_m))};
        result.at_zero.push_back(at_zero);
        heatrow::FrameEvidence own;
        own.time_s = frame.time_s;
        own.deviation_m = {frame.along_m - at_zero.along * flight.pitch_m,
                           frame.across_m - at_zero.across * flight.row_pitch_m};
        add_votes(flight, frame, at_zero, evidence.window, own.votes);
        own.barcode = barcode_of(frame, at_zero).take();
        evidence.frames.push_back(std::move(own));
        const double length_m = static_cast<double>(frame.means_k.front().size()) * flight.pitch_m;
        middles_m.emplace_back(frame.along_m + 0.5 * length_m, frame.across_m);
        reach_m = std::max(reach_m, 0.7 * length_m);
    }
    evidence.ties = heatrow::tie_frames(evidence, middles_m, reach_m);
    return result;
}

}  // namespace flights
