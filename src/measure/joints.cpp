#include "heatrow/measure/joints.hpp"

#include "heatrow/core/normal.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numbers>
#include <numeric>

namespace heatrow {
namespace {

constexpr std::array<std::string_view, 5> kSurfaceNames{"bare_metal", "tape", "insulation", "paint", "contact_probe"};
constexpr std::array<std::string_view, kJointFlagCount> kFlagNames{"current_zero",
                                                                   "load_below_minimum",
                                                                   "emissivity_too_low",
                                                                   "temperature_unknown",
                                                                   "no_sibling",
                                                                   "clipped",
                                                                   "too_few_pixels",
                                                                   "load_not_settled",
                                                                   "load_time_unknown",
                                                                   "cover_open_long",
                                                                   "cover_time_unknown",
                                                                   "cooler_than_air",
                                                                   "above_rated"};

double squared(double value) {
    return value * value;
}

// Chance that a normal value of this uncertainty is at or above the limit.
double chance_above(const Uncertain<KelvinDelta>& value, KelvinDelta limit) {
    const double distance = (value.value - limit).value();
    if (!(value.u > 0.0)) {
        return distance >= 0.0 ? 1.0 : 0.0;
    }
    return normal_cdf(distance / value.u);
}

// A joint brought to a load: its rise and how each cause moves it.
struct ScaledRise {
    double rise = 0.0;         // K at the target load
    double factor = 0.0;       // K at the target per K as measured: also the effect of 1 K of air, reversed
    double own = 0.0;          // K, independent between joints
    double offset = 0.0;       // K, of its frame
    double of_current = 0.0;   // K, of its own current reading
    double of_exponent = 0.0;  // K per unit of the exponent
};

class JointJudge {
  public:
    JointJudge(std::span<const JointReading> readings, const JointProfile& profile)
        : readings_(readings), profile_(profile) {}

    std::vector<JointResult> judge() {
        results_.resize(readings_.size());
        for (std::size_t i = 0; i < readings_.size(); ++i) {
            measure_alone(i);
        }
        for (std::size_t i = 0; i < readings_.size(); ++i) {
            if (usable(i)) {
                compare(i);
                decide(i);
            }
        }
        return std::move(results_);
    }

  private:
    // A joint that is judged and serves as a sibling.
    [[nodiscard]] bool usable(std::size_t i) const {
        const JointFlags& flags = results_[i].flags;
        return !flags.has(JointFlag::current_zero) && !flags.has(JointFlag::load_below_minimum) &&
               !flags.has(JointFlag::emissivity_too_low) && !flags.has(JointFlag::temperature_unknown);
    }
    [[nodiscard]] double current_u(std::size_t i) const {
        const JointReading& r = readings_[i];
        return r.current_u_a.value_or(profile_.current_u_share.value * r.current_a);
    }
    [[nodiscard]] double load(std::size_t i) const { return readings_[i].current_a / readings_[i].rated_a; }
    [[nodiscard]] double exponent_u() const {
        return (profile_.exponent_high.value - profile_.exponent_low.value) / std::sqrt(12.0);
    }

    void raise_flags(std::size_t i);
    void measure_alone(std::size_t i);
    void compare(std::size_t i);
    void decide(std::size_t i);
    [[nodiscard]] ScaledRise scaled(std::size_t i, double target_load) const;
    [[nodiscard]] Uncertain<KelvinDelta> alone(std::size_t i, double target_load, bool target_is_own) const;
    [[nodiscard]] std::vector<std::size_t> siblings_of(std::size_t i) const;

    std::span<const JointReading> readings_;
    const JointProfile& profile_;
    std::vector<JointResult> results_;
};

void JointJudge::raise_flags(std::size_t i) {
    const JointReading& r = readings_[i];
    JointResult& result = results_[i];
    result.flags = r.flags;
    JointFlags& flags = result.flags;
    if (!(r.current_a > 0.0)) {
        flags.set(JointFlag::current_zero);
    } else if (load(i) < profile_.minimum_load_fraction.value) {
        flags.set(JointFlag::load_below_minimum);
    } else if (load(i) > 1.0) {
        flags.set(JointFlag::above_rated);
    }
    if (mirrors(r, profile_)) {
        flags.set(JointFlag::emissivity_too_low);
    }
    if (!r.temperature.is_known() || !r.air.is_known()) {
        if (!flags.has(JointFlag::emissivity_too_low)) {
            flags.set(JointFlag::temperature_unknown);
        }
    } else if (r.temperature < r.air.value) {
        flags.set(JointFlag::cooler_than_air);
    }
    if (!r.load_held_min) {
        flags.set(JointFlag::load_time_unknown);
    } else if (*r.load_held_min < profile_.least_load_held_min.value) {
        flags.set(JointFlag::load_not_settled);
    }
    if (!r.cover_open_min) {
        flags.set(JointFlag::cover_time_unknown);
    } else if (*r.cover_open_min > profile_.most_cover_open_min.value) {
        flags.set(JointFlag::cover_open_long);
    }
    result.lower_bound = flags.has(JointFlag::clipped) || flags.has(JointFlag::too_few_pixels) ||
                         flags.has(JointFlag::load_not_settled) || flags.has(JointFlag::cover_open_long);
}

ScaledRise JointJudge::scaled(std::size_t i, double target_load) const {
    const JointReading& r = readings_[i];
    const double n = profile_.exponent.value;
    ScaledRise s;
    s.factor = std::pow(target_load / load(i), n);
    s.rise = s.factor * (r.temperature - r.air.value).value();
    const bool typed = r.frame < 0;  // shares its offset with no other joint
    s.own = s.factor * (typed ? combine_independent(r.budget.own_k, r.budget.offset_k) : r.budget.own_k);
    s.offset = typed ? 0.0 : s.factor * r.budget.offset_k;
    s.of_current = s.rise * n * current_u(i) / r.current_a;
    s.of_exponent = s.rise * std::log(target_load / load(i));
    return s;
}

Uncertain<KelvinDelta> JointJudge::alone(std::size_t i, double target_load, bool target_is_own) const {
    const ScaledRise s = scaled(i, target_load);
    return {KelvinDelta(s.rise),
            combine_independent(s.own,
                                s.offset,
                                s.factor * readings_[i].air.u,
                                target_is_own ? 0.0 : s.of_current,
                                s.of_exponent * exponent_u())};
}

void JointJudge::measure_alone(std::size_t i) {
    const JointReading& r = readings_[i];
    JointResult& result = results_[i];
    raise_flags(i);
    result.load_fraction = load(i);
    if (result.flags.has(JointFlag::temperature_unknown) || result.flags.has(JointFlag::emissivity_too_low)) {
        return;
    }
    result.rise = {r.temperature - r.air.value, combine_independent(r.budget.own_k, r.budget.offset_k, r.air.u)};
    if (usable(i)) {
        const bool own = profile_.load == JointLoad::own;
        result.rise_at_rated = alone(i, 1.0, false);
        result.rise_at_load = own ? alone(i, load(i), true) : result.rise_at_rated;
    }
}

std::vector<std::size_t> JointJudge::siblings_of(std::size_t i) const {
    std::vector<std::size_t> siblings;
    if (readings_[i].group.empty()) {
        return siblings;
    }
    for (std::size_t j = 0; j < readings_.size(); ++j) {
        if (j != i && readings_[j].group == readings_[i].group && usable(j)) {
            siblings.push_back(j);
        }
    }
    return siblings;
}

void JointJudge::compare(std::size_t i) {
    JointResult& result = results_[i];
    const auto siblings = siblings_of(i);
    result.siblings = static_cast<int>(siblings.size());
    if (siblings.empty()) {
        result.flags.set(JointFlag::no_sibling);
        return;
    }
    const bool own = profile_.load == JointLoad::own;
    const double target = own ? load(i) : 1.0;
    const ScaledRise me = scaled(i, target);
    std::vector<ScaledRise> others;
    for (const std::size_t j : siblings) {
        others.push_back(scaled(j, target));
    }
    std::vector<std::size_t> order(others.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::stable_sort(order.begin(), order.end(), [&others](std::size_t a, std::size_t b) {
        return others[a].rise < others[b].rise;
    });
    const std::size_t count = order.size();
    const std::size_t middle = order[(count - 1) / 2];
    const ScaledRise& median = others[middle];

    // causes that both share act with the difference of their effects
    std::map<int, double> of_frame{{readings_[i].frame, me.offset}};
    of_frame[readings_[siblings[middle]].frame] -= median.offset;
    const double air = me.factor - median.factor;
    const double exponent = me.of_exponent - median.of_exponent;
    double offsets = 0.0;
    for (const auto& [frame, effect] : of_frame) {
        offsets += squared(effect);
    }
    double independent = 0.0;  // of one sibling, mean square
    for (const ScaledRise& s : others) {
        independent += (squared(s.own) + squared(s.of_current)) / static_cast<double>(count);
    }
    const auto n = static_cast<double>(count);
    const double of_median = count < 3 ? independent : independent * std::numbers::pi / (2.0 * n);
    // a target at the joint's own load moves the siblings with its current
    const double current =
        own ? median.rise * profile_.exponent.value * current_u(i) / readings_[i].current_a : me.of_current;
    result.over_siblings = {KelvinDelta(me.rise - median.rise),
                            std::sqrt(squared(me.own) + squared(current) + of_median + offsets +
                                      squared(air * readings_[i].air.u) + squared(exponent * exponent_u()))};
}

void JointJudge::decide(std::size_t i) {
    JointResult& result = results_[i];
    const auto value_of = [&result](JointComparison comparison) -> const Uncertain<KelvinDelta>& {
        return comparison == JointComparison::siblings ? result.over_siblings : result.rise_at_load;
    };
    JointVerdict verdict;
    bool complete = true;
    double thermal = 0.0;
    double dangerous = 0.0;
    double excess = 0.0;
    for (std::size_t k = 0; k < profile_.steps.size(); ++k) {
        const JointStep& step = profile_.steps[k];
        const Uncertain<KelvinDelta>& value = value_of(step.comparison);
        if (!value.is_known()) {
            complete = false;
            continue;
        }
        const double chance = chance_above(value, step.from);
        thermal = std::max(thermal, chance);
        if (step.abnormality == AbnormalityClass::safety_relevant) {
            dangerous = std::max(dangerous, chance);
        }
        if (value.value < step.from) {
            continue;
        }
        // of two steps of one class the later one of the same comparison decides, else the one that is exceeded more
        const double ratio = value.value / step.from;
        const bool same_ladder =
            verdict.step >= 0 && profile_.steps[static_cast<std::size_t>(verdict.step)].comparison == step.comparison;
        if (step.abnormality > verdict.abnormality ||
            (step.abnormality == verdict.abnormality && (same_ladder || ratio > excess))) {
            verdict.abnormality = step.abnormality;
            verdict.step = static_cast<int>(k);
            excess = ratio;
        }
    }
    if (!complete && verdict.abnormality == AbnormalityClass::none) {
        return;  // half of the comparison is missing: no all-clear
    }
    verdict.probability = verdict.abnormality == AbnormalityClass::safety_relevant ? dangerous
                          : verdict.abnormality == AbnormalityClass::thermal       ? thermal - dangerous
                                                                                   : 1.0 - thermal;
    result.verdict = verdict;
}

}  // namespace

std::string_view to_string(JointSurface surface) {
    return kSurfaceNames[static_cast<std::size_t>(surface)];
}

std::string_view to_string(JointFlag flag) {
    return kFlagNames[static_cast<std::size_t>(flag)];
}

std::vector<JointFlag> JointFlags::list() const {
    std::vector<JointFlag> flags;
    for (int i = 0; i < kJointFlagCount; ++i) {
        if (has(static_cast<JointFlag>(i))) {
            flags.push_back(static_cast<JointFlag>(i));
        }
    }
    return flags;
}

std::string JointFlags::to_string() const {
    std::string names;
    for (const JointFlag flag : list()) {
        names += (names.empty() ? "" : "|") + std::string(heatrow::to_string(flag));
    }
    return names;
}

bool mirrors(const JointReading& reading, const JointProfile& profile) {
    return reading.surface != JointSurface::contact_probe && reading.emissivity < profile.least_emissivity.value;
}

KelvinDelta scale_to_rated(KelvinDelta delta, double current_a, double rated_a, double exponent) {
    if (!(current_a > 0.0) || !(rated_a > 0.0)) {
        return KelvinDelta(kNaN);
    }
    return delta * std::pow(rated_a / current_a, exponent);
}

std::vector<JointResult> judge_joints(std::span<const JointReading> readings, const JointProfile& profile) {
    return JointJudge(readings, profile).judge();
}

}  // namespace heatrow
