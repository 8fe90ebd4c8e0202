#include "heatrow/measure/joint_profile.hpp"

#include <utility>

namespace heatrow {
namespace {

bool is_share(const JointLimit& limit) {
    return limit.value > 0.0 && limit.value <= 1.0;
}

}  // namespace

std::string_view to_string(JointComparison comparison) {
    return comparison == JointComparison::siblings ? "siblings" : "air";
}

std::string_view to_string(JointLoad load) {
    return load == JointLoad::rated ? "rated" : "own";
}

std::string first_problem(const JointProfile& profile) {
    for (const auto& [name, limit] : {std::pair{"limits.minimum_load_fraction", &profile.minimum_load_fraction},
                                      {"limits.least_emissivity", &profile.least_emissivity},
                                      {"surfaces.tape_emissivity", &profile.tape_emissivity},
                                      {"surfaces.insulation_emissivity", &profile.insulation_emissivity},
                                      {"surfaces.paint_emissivity", &profile.paint_emissivity}}) {
        if (!is_share(*limit)) {
            return std::string(name) + " must be above 0 and at most 1";
        }
    }
    for (const auto& [name, limit] : {std::pair{"limits.least_load_held_min", &profile.least_load_held_min},
                                      {"limits.most_cover_open_min", &profile.most_cover_open_min},
                                      {"uncertainty.current_u_share", &profile.current_u_share},
                                      {"uncertainty.temperature_u_k", &profile.temperature_u_k},
                                      {"uncertainty.air_u_k", &profile.air_u_k},
                                      {"uncertainty.reflected_u_k", &profile.reflected_u_k},
                                      {"uncertainty.emissivity_u", &profile.emissivity_u}}) {
        if (!(limit->value >= 0.0)) {
            return std::string(name) + " must not be negative";
        }
    }
    if (!(profile.exponent_low.value > 0.0 && profile.exponent_low.value <= profile.exponent.value &&
          profile.exponent.value <= profile.exponent_high.value)) {
        return "scaling.exponent must be above 0 and lie between exponent_low and exponent_high";
    }
    for (const JointComparison comparison : {JointComparison::siblings, JointComparison::air}) {
        double last = 0.0;
        for (const JointStep& step : profile.steps) {
            if (step.comparison != comparison) {
                continue;
            }
            if (!(step.from.value() > last)) {
                return "the steps that compare with \"" + std::string(to_string(comparison)) +
                       "\" must ascend in from_k, from above 0";
            }
            last = step.from.value();
        }
    }
    return profile.steps.empty() ? "it has no [[step]]" : "";
}

}  // namespace heatrow
