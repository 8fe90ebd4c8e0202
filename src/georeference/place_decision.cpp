#include "heatrow/georeference/place_decision.hpp"

#include "segment_merge.hpp"
#include "segment_tree.hpp"
#include "withdrawal.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>

namespace heatrow {

namespace {

using detail::JudgedTie;
using detail::RigidSegments;
using detail::SegmentLink;

constexpr double kInfinity = std::numeric_limits<double>::infinity();
constexpr double kSpeaks = 0.5;             // natural log: a witness that makes less difference says nothing
constexpr double kShareConsidering = 0.75;  // of a segment's frames that have to consider an offset
constexpr std::size_t kMostRivals = 24;     // listed

using Values = std::vector<double>;  // by OffsetWindow::index_of

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

int floor_div(int value, int by) {
    return value >= 0 ? value / by : -((-value + by - 1) / by);
}

// What one segment's own frames say.
struct SegmentEvidence {
    std::vector<int> frames;
    std::vector<Values> witnesses;  // capped vote of each
    Values own;                     // their sum; minus infinity where an offset does not come into question
    bool fits_nowhere = false;      // no offset comes into question
};

bool considers(const FlightEvidence& flight, int frame, LatticeOffset offset) {
    const std::vector<LatticeOffset>& considered = flight.frames[at(frame)].considered;
    return flight.window.holds(offset) &&
           (considered.empty() || std::binary_search(considered.begin(), considered.end(), offset));
}

// Largest value zero, and no value much below the log of the share of outliers.
void cap(Values& votes, const Values& allowed, double outlier) {
    double most = -kInfinity;
    for (std::size_t i = 0; i < votes.size(); ++i) {
        if (allowed[i] != -kInfinity) {
            most = std::max(most, votes[i]);
        }
    }
    for (double& vote : votes) {
        vote = std::log((std::exp(std::min(0.0, vote - most)) + outlier) / (1.0 + outlier));
    }
}

// Votes of all frames that speak of one witness.
struct WitnessSum {
    Values votes;
    std::vector<int> frames;
};

// Of some offsets a frame says nothing (near the border of the window, mostly): it is taken to vote as the others;
// where none votes, as against the worst offset.
void fill_in(WitnessSum& sum, const FlightEvidence& flight, const RigidSegments& segments) {
    const OffsetWindow& window = flight.window;
    std::vector<bool> unknown(sum.votes.size(), false);
    double worst = kInfinity;
    for (int i = 0; i < window.size(); ++i) {
        const auto inside = std::count_if(sum.frames.begin(), sum.frames.end(), [&](int frame) {
            return considers(flight, frame, window.at(i) + segments.to_reference[at(frame)]);
        });
        unknown[at(i)] = inside == 0;
        if (inside > 0) {
            sum.votes[at(i)] *= static_cast<double>(sum.frames.size()) / static_cast<double>(inside);
            worst = std::min(worst, sum.votes[at(i)]);
        }
    }
    for (std::size_t i = 0; i < unknown.size(); ++i) {
        if (unknown[i]) {
            sum.votes[i] = std::isfinite(worst) ? worst : 0.0;
        }
    }
}

SegmentEvidence gather(const FlightEvidence& flight,
                       const RigidSegments& segments,
                       std::vector<int> frames,
                       const PlaceOptions& options) {
    const OffsetWindow& window = flight.window;
    SegmentEvidence evidence;
    evidence.frames = std::move(frames);
    evidence.own.assign(at(window.size()), 0.0);
    for (int i = 0; i < window.size(); ++i) {
        int inside = 0;
        bool is_known = false;
        for (const int frame : evidence.frames) {
            const LatticeOffset offset = window.at(i) + segments.to_reference[at(frame)];
            inside += considers(flight, frame, offset) ? 1 : 0;
            const auto& known = flight.frames[at(frame)].known;
            is_known = is_known || known;
            if (known && *known != offset) {
                evidence.own[at(i)] = -kInfinity;
            }
        }
        // Control says where the segment is, whether its frames had thought of it or not.
        if (!is_known && inside < kShareConsidering * static_cast<double>(evidence.frames.size())) {
            evidence.own[at(i)] = -kInfinity;
        }
    }
    if (std::all_of(evidence.own.begin(), evidence.own.end(), [](double value) { return value == -kInfinity; })) {
        // Control points that contradict each other, or frames too far apart for any offset in the window.
        evidence.own.assign(at(window.size()), 0.0);
        evidence.fits_nowhere = true;
        return evidence;
    }
    std::map<LatticeOffset, WitnessSum> by_witness;
    for (const int frame : evidence.frames) {
        const LatticeOffset to_reference = segments.to_reference[at(frame)];
        for (const WitnessVote& vote : flight.frames[at(frame)].votes) {
            // On the lattice of the segment, all frames see a thing at one place, wherever the segment lies.
            const LatticeOffset place = vote.witness + to_reference;
            WitnessSum& sum = by_witness[{floor_div(place.along, options.witness_extent), place.across}];
            if (sum.frames.empty() || sum.frames.back() != frame) {
                sum.frames.push_back(frame);
            }
            sum.votes.resize(at(window.size()), 0.0);
            if (const LatticeOffset offset = vote.offset - to_reference; window.holds(offset)) {
                sum.votes[at(window.index_of(offset))] += vote.log_likelihood;
            }
        }
    }
    for (auto& [place, sum] : by_witness) {
        fill_in(sum, flight, segments);
        cap(sum.votes, evidence.own, options.witness_outlier);
        for (std::size_t i = 0; i < sum.votes.size(); ++i) {
            evidence.own[i] += sum.votes[i];
        }
        evidence.witnesses.push_back(std::move(sum.votes));
    }
    return evidence;
}

// The flight's bias is about zero: said once in every tree of links, by its segment of most frames.
void add_bias_prior(const FlightEvidence& flight,
                    const RigidSegments& segments,
                    const PlaceOptions& options,
                    SegmentEvidence& evidence) {
    Eigen::Vector2d mean = Eigen::Vector2d::Zero();
    int count = 0;
    for (const int frame : evidence.frames) {
        const LatticeOffset offset = segments.to_reference[at(frame)];
        const Eigen::Vector2d& deviation = flight.frames[at(frame)].deviation_m;
        if (deviation.allFinite()) {
            mean +=
                deviation - Eigen::Vector2d(offset.along * flight.pitch_along_m, offset.across * flight.pitch_across_m);
            ++count;
        }
    }
    if (count == 0) {
        return;
    }
    mean /= count;
    for (int i = 0; i < flight.window.size(); ++i) {
        const LatticeOffset offset = flight.window.at(i);
        const Eigen::Vector2d bias =
            mean - Eigen::Vector2d(offset.along * flight.pitch_along_m, offset.across * flight.pitch_across_m);
        evidence.own[at(i)] -= 0.5 * bias.squaredNorm() / (options.positions.bias_sd_m * options.positions.bias_sd_m);
    }
}

bool any_speaks(const SegmentEvidence& evidence, int best, int other) {
    return std::any_of(evidence.witnesses.begin(), evidence.witnesses.end(), [&](const Values& votes) {
        return std::abs(votes[at(best)] - votes[at(other)]) > kSpeaks;
    });
}

class Decider {
  public:
    Decider(const FlightEvidence& flight, const PlaceOptions& options) : flight_(flight), options_(options) {
        std::vector<JudgedTie> ties = detail::judge_ties(flight, options);
        const int frame_count = static_cast<int>(flight.frames.size());
        segments_ = detail::join_frames(frame_count, ties, options.rigid_margin);
        ties_cut_ = static_cast<int>(std::count_if(ties.begin(), ties.end(), [&](const JudgedTie& tie) {
            return tie.cut && tie.margin >= options.rigid_margin;
        }));
        segments_ = detail::merge_segments(flight, std::move(segments_), ties, options);
        tree_ = detail::spanning_links(detail::link_segments(flight, segments_, ties, options), segments_.count);
        gather_segments();
        std::vector<Values> own;
        for (const SegmentEvidence& evidence : evidence_) {
            own.push_back(evidence.own);
        }
        belief_ = detail::propagate(own, flight.window, tree_);
        for (const Values& values : belief_) {
            best_.push_back(static_cast<int>(std::max_element(values.begin(), values.end()) - values.begin()));
        }
    }

    [[nodiscard]] PlaceDecision decide() const {
        std::vector<std::vector<Values>> witnesses;
        std::vector<Values> allowed;
        for (const SegmentEvidence& evidence : evidence_) {
            witnesses.push_back(evidence.witnesses);
            allowed.push_back(evidence.own);
        }
        const detail::Withdrawal withdrawal(
            witnesses, allowed, best_, flight_.window, tree_, options_.withdrawn_witnesses);

        PlaceDecision decision;
        decision.ties_cut = ties_cut_;
        decision.segment_of = segments_.segment_of;
        for (std::size_t frame = 0; frame < flight_.frames.size(); ++frame) {
            const int segment = segments_.segment_of[frame];
            decision.offsets.push_back(flight_.window.at(best_[at(segment)]) + segments_.to_reference[frame]);
        }
        for (int segment = 0; segment < segments_.count; ++segment) {
            SegmentDecision own;
            own.frames = evidence_[at(segment)].frames;
            own.log_odds = log_odds(segment);
            explain(segment, withdrawal, own);
            decision.segments.push_back(std::move(own));
        }
        return decision;
    }

  private:
    void gather_segments() {
        std::vector<std::vector<int>> frames(at(segments_.count));
        for (std::size_t frame = 0; frame < flight_.frames.size(); ++frame) {
            frames[at(segments_.segment_of[frame])].push_back(static_cast<int>(frame));
        }
        for (auto& own : frames) {
            evidence_.push_back(gather(flight_, segments_, std::move(own), options_));
        }
        std::vector<int> tree_of(at(segments_.count));
        for (int segment = 0; segment < segments_.count; ++segment) {
            tree_of[at(segment)] = segment;
        }
        for (const SegmentLink& link : tree_) {
            std::replace(tree_of.begin(), tree_of.end(), tree_of[at(link.b)], tree_of[at(link.a)]);
        }
        std::map<int, int> largest;
        for (int segment = 0; segment < segments_.count; ++segment) {
            int& most = largest.try_emplace(tree_of[at(segment)], segment).first->second;
            if (evidence_[at(segment)].frames.size() > evidence_[at(most)].frames.size()) {
                most = segment;
            }
        }
        for (const auto& [tree, segment] : largest) {
            add_bias_prior(flight_, segments_, options_, evidence_[at(segment)]);
        }
    }

    [[nodiscard]] double log_odds(int segment) const {
        Values others = belief_[at(segment)];
        const double most = others[at(best_[at(segment)])];
        others[at(best_[at(segment)])] = -kInfinity;
        const double rest = detail::log_sum(others);
        return rest == -kInfinity ? kInfinity : most - rest;
    }

    // Names the segment if no other offset is probable, nor would be with the strongest witnesses withdrawn.
    void explain(int segment, const detail::Withdrawal& withdrawal, SegmentDecision& decision) const {
        const Values& belief = belief_[at(segment)];
        const int best = best_[at(segment)];
        std::vector<std::pair<double, int>> rivals;
        for (int other = 0; other < flight_.window.size(); ++other) {
            if (other != best && belief[at(other)] != -kInfinity &&
                (belief[at(best)] - belief[at(other)] < options_.threshold ||
                 withdrawal.lead(segment, other) < options_.margin_without_them)) {
                rivals.emplace_back(-belief[at(other)], other);
            }
        }
        std::sort(rivals.begin(), rivals.end());
        decision.named =
            rivals.empty() && decision.log_odds >= options_.threshold && !evidence_[at(segment)].fits_nowhere;
        if (decision.named) {
            decision.reason = PlaceReason::decided;
            return;
        }
        if (rivals.size() > kMostRivals) {
            rivals.resize(kMostRivals);
        }
        for (const auto& [rank, other] : rivals) {
            decision.rivals.push_back(flight_.window.at(other) - flight_.window.at(best));
        }
        if (rivals.empty() || any_speaks(evidence_[at(segment)], best, rivals.front().second)) {
            decision.reason =
                decision.log_odds >= options_.threshold ? PlaceReason::too_few_witnesses : PlaceReason::close_call;
        }
    }

    const FlightEvidence& flight_;
    const PlaceOptions& options_;
    RigidSegments segments_;
    int ties_cut_ = 0;
    std::vector<SegmentLink> tree_;
    std::vector<SegmentEvidence> evidence_;
    std::vector<Values> belief_;
    std::vector<int> best_;
};

}  // namespace

std::string_view to_string(PlaceReason reason) {
    switch (reason) {
        case PlaceReason::decided:
            return "decided";
        case PlaceReason::nothing_tells:
            return "nothing_tells";
        case PlaceReason::too_few_witnesses:
            return "too_few_witnesses";
        case PlaceReason::close_call:
            return "close_call";
        case PlaceReason::control_contradicted:
            return "control_contradicted";
    }
    return {};
}

PlaceDecision decide_places(const FlightEvidence& flight, const PlaceOptions& options) {
    return Decider(flight, options).decide();
}

}  // namespace heatrow
