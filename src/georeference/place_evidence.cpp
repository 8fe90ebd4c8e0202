#include "place_evidence.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>

namespace heatrow::detail {

namespace {

using Eigen::Vector2d;

constexpr int kHalfPatch = 2;          // px: a place is the mean of 5 x 5 pixels
constexpr double kGroundTemper = 0.5;  // neighbouring places are not independent (own choice)
// Share of the variance that no placement explains (modules and ground are not even): keeps small differences between
// good placements from counting (own choice).
constexpr double kUnexplained = 0.05;
constexpr double kLeastClear = 0.3;      // m of free ground beyond a side to look at
constexpr double kFarthestGround = 0.5;  // m beyond the side
constexpr float kMostVote = 3.5F;        // one strip says no more than this, natural log units
constexpr double kEdgeTemper = 0.3;      // neighbouring strips are not independent (own choice)
// Differences below this are no witness: pixels that happen to fall a little better on one of two equal places (own
// choice, natural log units).
constexpr double kSilence = 2.0;
// Share of the edges' votes by which two equal places differ, edges falling between whole pixels (own choice).
constexpr double kAlike = 0.1;
constexpr int kSearchStep = 2;  // px
constexpr int kResponseLines = 4;
constexpr int kPool = 2;  // px: yaw and height errors move strips by so much against the common shift

struct Response {
    Vector2d normal;
    std::vector<float> votes;  // from -reach to +reach, pooled; NaN where nothing was seen
};

float strongest(const std::vector<float>& response, bool signed_response, float sign) {
    float most = 0.0F;
    for (const float value : response) {
        const float strength = signed_response ? sign * value : value;
        most = strength > most ? strength : most;
    }
    return most;
}

float median_of(std::vector<float> values) {
    if (values.empty()) {
        return 0.0F;
    }
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

// What edges look like in this frame: nearly every strip shows its own somewhere in reach, and it is stronger than what
// else there is between cells. Dark or bright gaps: whichever are stronger.
struct EdgeStrength {
    float gap = 0.0F;
    float gap_sign = 1.0F;
    float free_side = 0.0F;
};
EdgeStrength usual_strength(const std::vector<PredictedLine>& lines, const std::vector<std::vector<float>>& raw) {
    std::vector<float> dark;
    std::vector<float> bright;
    std::vector<float> free_sides;
    for (std::size_t i = 0; i < lines.size(); ++i) {
        if (lines[i].free_side) {
            free_sides.push_back(strongest(raw[i], false, 1.0F));
        } else {
            dark.push_back(strongest(raw[i], true, -1.0F));
            bright.push_back(strongest(raw[i], true, 1.0F));
        }
    }
    const float as_dark = median_of(std::move(dark));
    const float as_bright = median_of(std::move(bright));
    return {std::max(as_dark, as_bright), as_dark >= as_bright ? -1.0F : 1.0F, median_of(std::move(free_sides))};
}

float vote_for(float response, const PredictedLine& line, const EdgeStrength& usual) {
    const float strength = line.free_side ? response : usual.gap_sign * response;
    const float share = strength / std::max(line.free_side ? usual.free_side : usual.gap, 1e-6F);
    return share > 0.0F ? kMostVote * std::min(1.0F, share * share) : 0.0F;
}

std::vector<Response> read_responses(BandProber& prober, const std::vector<PredictedLine>& lines, int reach) {
    std::vector<std::vector<float>> raw(lines.size());
    for (std::size_t i = 0; i < lines.size(); ++i) {
        prober.response(lines[i].line, reach, kResponseLines, raw[i]);
    }
    const EdgeStrength usual = usual_strength(lines, raw);
    std::vector<Response> responses;
    responses.reserve(lines.size());
    for (std::size_t line = 0; line < lines.size(); ++line) {
        const std::vector<float>& strengths = raw[line];
        Response response{lines[line].line.normal, strengths};
        const int last = static_cast<int>(strengths.size()) - 1;
        for (int i = 0; i <= last; ++i) {
            if (std::isnan(strengths[static_cast<std::size_t>(i)])) {
                continue;
            }
            float best = 0.0F;
            for (int j = std::max(0, i - kPool); j <= std::min(last, i + kPool); ++j) {
                // A little less off the middle, so that the search settles on the middle.
                const float off = 1.0F - 0.15F * static_cast<float>(std::abs(j - i));
                const float vote = off * vote_for(strengths[static_cast<std::size_t>(j)], lines[line], usual);
                best = vote > best ? vote : best;
            }
            response.votes[static_cast<std::size_t>(i)] = best;
        }
        responses.push_back(std::move(response));
    }
    return responses;
}

// Mean vote of the strips that are in the picture at this shift, for all strips: a strip that the shift takes out of
// the picture says neither yes nor no.
double votes_for(const std::vector<Response>& responses, const Vector2d& shift, int reach) {
    double sum = 0.0;
    double seen = 0.0;
    for (const Response& response : responses) {
        const int offset = static_cast<int>(std::lround(response.normal.dot(shift))) + reach;
        if (offset < 0 || offset > 2 * reach) {
            continue;
        }
        const float vote = response.votes[static_cast<std::size_t>(offset)];
        if (!std::isnan(vote)) {
            sum += static_cast<double>(vote);
            seen += 1.0;
        }
    }
    return seen > 0.0 ? kEdgeTemper * static_cast<double>(responses.size()) * sum / seen : 0.0;
}

struct PlaceScore {
    double prior;
    double votes;
    double ground;
};

struct Choice {
    std::size_t index;
    double margin;  // over the next best; infinite where there is none
};

// Places whose edges, or whose ground, speak nearly as well as the best ones count as equal in that respect.
Choice choose(const std::vector<PlaceScore>& scores) {
    double most_votes = 0.0;
    double most_ground = 0.0;
    for (const PlaceScore& score : scores) {
        most_votes = std::max(most_votes, score.votes);
        most_ground = std::max(most_ground, score.ground);
    }
    const double enough_votes = most_votes * (1.0 - kAlike) - kSilence;
    const double enough_ground = most_ground - kSilence;
    Choice choice{0, std::numeric_limits<double>::infinity()};
    double best = -std::numeric_limits<double>::infinity();
    for (std::size_t i = 0; i < scores.size(); ++i) {
        const double total =
            scores[i].prior + std::min(scores[i].votes, enough_votes) + std::min(scores[i].ground, enough_ground);
        if (total > best) {
            choice = {i, total - best};
            best = total;
        } else {
            choice.margin = std::min(choice.margin, best - total);
        }
    }
    return choice;
}

}  // namespace

GroundEvidence::GroundEvidence(const LayoutIndex& site,
                               const PosedCamera& camera,
                               const std::vector<int>& modules,
                               CountView counts,
                               double nodata)
    : counts_(counts), nodata_(static_cast<float>(nodata)) {
    for (const int module : modules) {
        if (const std::optional<Vector2d> pixel = camera.project(site.centre_in_site(module))) {
            places_.push_back({*pixel, true});
        }
        for (const BandEdge& edge : site.edges_of(module)) {
            if (edge.neighbour >= 0 || edge.clear_m < kLeastClear) {
                continue;
            }
            const double beyond = std::min(kFarthestGround, 0.5 * edge.clear_m);
            const Eigen::Vector3d middle = 0.5 * (edge.from_in_site + edge.to_in_site);
            if (const std::optional<Vector2d> pixel = camera.project(middle + beyond * edge.outward_in_site)) {
                places_.push_back({*pixel, false});
            }
        }
    }
}

double GroundEvidence::mean_at(const Vector2d& pixel) const {
    if (!(pixel.x() > -1e6 && pixel.y() > -1e6 && pixel.x() < 1e6 && pixel.y() < 1e6)) {
        return kNaN;
    }
    const int x = static_cast<int>(std::lround(pixel.x()));
    const int y = static_cast<int>(std::lround(pixel.y()));
    if (!counts_.contains(x - kHalfPatch, y - kHalfPatch) || !counts_.contains(x + kHalfPatch, y + kHalfPatch)) {
        return kNaN;
    }
    double sum = 0.0;
    for (int row = y - kHalfPatch; row <= y + kHalfPatch; ++row) {
        const float* pixels = counts_.row(row);
        for (int column = x - kHalfPatch; column <= x + kHalfPatch; ++column) {
            if (pixels[column] == nodata_) {
                return kNaN;
            }
            sum += static_cast<double>(pixels[column]);
        }
    }
    constexpr double kPixels = (2.0 * kHalfPatch + 1.0) * (2.0 * kHalfPatch + 1.0);
    return sum / kPixels;
}

GroundEvidence::Gain GroundEvidence::gain(const Vector2d& shift) const {
    double count = 0.0;
    double on_module = 0.0;
    double sum = 0.0;
    double sum_on_module = 0.0;
    double squares = 0.0;
    double origin = kNaN;  // keeps the squares small
    for (const Place& place : places_) {
        double value = mean_at(place.pixel + shift);
        if (std::isnan(value)) {
            continue;
        }
        if (std::isnan(origin)) {
            origin = value;
        }
        value -= origin;
        count += 1.0;
        sum += value;
        squares += value * value;
        if (place.module) {
            on_module += 1.0;
            sum_on_module += value;
        }
    }
    const double off_module = count - on_module;
    const double total = squares - (count > 0.0 ? sum * sum / count : 0.0);
    if (on_module < 1.0 || off_module < 1.0 || !(total > 0.0)) {
        return {0.0, count};
    }
    const double sum_off_module = sum - sum_on_module;
    const double within =
        squares - sum_on_module * sum_on_module / on_module - sum_off_module * sum_off_module / off_module;
    return {kGroundTemper * -0.5 * std::log((within / total + kUnexplained) / (1.0 + kUnexplained)), count};
}

LatticePlace find_place(BandProber& prober,
                        const std::vector<PredictedLine>& lines,
                        const GroundEvidence& ground,
                        const LatticeSearch& search) {
    const std::vector<Response> responses = read_responses(prober, lines, search.reach_px);
    const auto prior = [&](const Vector2d& shift) {
        return -0.5 * shift.squaredNorm() / (search.shift_sd_px * search.shift_sd_px);
    };
    const auto score = [&](const Vector2d& shift) {
        return votes_for(responses, shift, search.reach_px) + prior(shift);
    };
    const auto best_about = [&](const Vector2d& middle) {
        Vector2d best = middle;
        double best_score = score(middle);
        for (int y = -1; y <= 1; ++y) {
            for (int x = -1; x <= 1; ++x) {
                const Vector2d shift = middle + Vector2d(x, y);
                if (score(shift) > best_score) {
                    best = shift;
                    best_score = score(shift);
                }
            }
        }
        return best;
    };
    // The lattice first: edges and prior.
    Vector2d rough = Vector2d::Zero();
    double rough_score = -std::numeric_limits<double>::infinity();
    for (int y = -search.reach_px; y <= search.reach_px; y += kSearchStep) {
        for (int x = -search.reach_px; x <= search.reach_px; x += kSearchStep) {
            const Vector2d shift(x, y);
            if (x * x + y * y <= search.reach_px * search.reach_px && score(shift) > rough_score) {
                rough = shift;
                rough_score = score(shift);
            }
        }
    }
    const Vector2d best = best_about(rough);
    // Then which place on it.
    std::vector<Vector2d> places{best};
    for (const Vector2d& pitch : search.pitches_px) {
        const std::size_t before = places.size();
        for (std::size_t i = 0; i < before; ++i) {
            for (const double steps : {-2.0, -1.0, 1.0, 2.0}) {
                places.push_back(places[i] + steps * pitch);
            }
        }
    }
    // Out of reach the lattice looks as it does at the best place: edges then say nothing.
    const double votes_at_best = votes_for(responses, best, search.reach_px);
    // Two shifts are compared by as many places as both show: which of them leave the picture is no evidence.
    const double ground_at_best = ground.gain(best).places;
    std::vector<PlaceScore> scores;
    scores.reserve(places.size());
    for (Vector2d& place : places) {
        const bool in_reach = place.norm() <= search.reach_px;
        if (in_reach) {
            place = best_about(place);
        }
        const GroundEvidence::Gain gain = ground.gain(place);
        scores.push_back({prior(place),
                          in_reach ? votes_for(responses, place, search.reach_px) : votes_at_best,
                          gain.per_place * std::min(gain.places, ground_at_best)});
    }
    const Choice choice = choose(scores);
    return {places[choice.index], choice.margin};
}

}  // namespace heatrow::detail
