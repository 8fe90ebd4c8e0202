#include "phase_search.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>

namespace heatrow::detail {

namespace {

using Eigen::Vector2d;

constexpr float kMostVote = 3.5F;    // one strip says no more than this, natural log units
constexpr double kEdgeTemper = 0.3;  // neighbouring strips are not independent (own choice)
constexpr int kSearchStep = 2;       // px
constexpr int kResponseLines = 4;
constexpr double kSamePhasePx = 8.0;    // nearer shifts lead the polish to one pose
constexpr double kNearlyAsWell = 0.75;  // share of the best score (own choice)
constexpr std::size_t kMostPhases = 3;
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

}  // namespace

std::vector<Vector2d> find_phases(BandProber& prober,
                                  const std::vector<PredictedLine>& lines,
                                  const PhaseSearch& search) {
    const std::vector<Response> responses = read_responses(prober, lines, search.reach_px);
    const auto score = [&](const Vector2d& shift) {
        return votes_for(responses, shift, search.reach_px) - 0.5 * shift.dot(search.shift_information * shift);
    };
    struct Tried {
        Vector2d shift;
        double score;
    };
    std::vector<Tried> tried;
    const int last = search.reach_px / kSearchStep * kSearchStep;  // so that no shift is among them
    for (int y = -last; y <= last; y += kSearchStep) {
        for (int x = -last; x <= last; x += kSearchStep) {
            const Vector2d shift(x, y);
            if (x * x + y * y <= search.reach_px * search.reach_px) {
                tried.push_back({shift, score(shift)});
            }
        }
    }
    std::stable_sort(tried.begin(), tried.end(), [](const Tried& a, const Tried& b) { return a.score > b.score; });

    const auto is_taken = [&](const Vector2d& shift, const Vector2d& taken) {
        const Vector2d apart = shift - taken;
        if (apart.norm() < kSamePhasePx) {
            return true;
        }
        for (const Vector2d& pitch : search.pitches_px) {
            for (const double steps : {-2.0, -1.0, 1.0, 2.0}) {
                if ((apart - steps * pitch).norm() < kSamePhasePx) {
                    return true;
                }
            }
        }
        return false;
    };
    const double enough = kNearlyAsWell * std::max(0.0, tried.front().score);
    std::vector<Vector2d> phases;
    for (const Tried& one : tried) {
        if (phases.size() >= kMostPhases || (!phases.empty() && one.score < enough)) {
            break;
        }
        if (std::any_of(phases.begin(), phases.end(), [&](const Vector2d& p) { return is_taken(one.shift, p); })) {
            continue;
        }
        Tried best = one;
        for (int y = -1; y <= 1; ++y) {
            for (int x = -1; x <= 1; ++x) {
                const Vector2d shift = one.shift + Vector2d(x, y);
                if (score(shift) > best.score) {
                    best = {shift, score(shift)};
                }
            }
        }
        phases.push_back(best.shift);
    }
    return phases;
}

}  // namespace heatrow::detail
