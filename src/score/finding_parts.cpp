#include "finding_parts.hpp"

#include "evidence_text.hpp"
#include "heatrow/score/scaling.hpp"
#include "heatrow/score/wider_name.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>

namespace heatrow {
namespace {

constexpr std::size_t kNamedCells = 4;  // longer lists of cells make an unreadable id

// FNV-1a, 32 bits (public domain, Fowler, Noll, Vo), in hexadecimal.
std::string short_hash(std::string_view text) {
    std::uint32_t hash = 2166136261U;
    for (const char c : text) {
        hash = (hash ^ static_cast<unsigned char>(c)) * 16777619U;
    }
    constexpr std::string_view kDigits = "0123456789abcdef";
    std::string hex;
    for (int shift = 28; shift >= 0; shift -= 4) {
        hex += kDigits[(hash >> static_cast<unsigned>(shift)) & 15U];
    }
    return hex;
}

std::string part_of(const Finding& finding) {
    std::string part;
    if (!finding.substrings.empty()) {
        for (const int substring : finding.substrings) {
            part += (part.empty() ? "s" : "+s") + std::to_string(substring);
        }
        return part;
    }
    for (const auto cell : finding.cells) {
        part += (part.empty() ? "" : "+") + to_string(cell);
    }
    return finding.cells.size() > kNamedCells ? short_hash(part) : part;
}

const PatternRule& rule_of(const Profile& profile, Pattern pattern) {
    const auto& own = profile.rule(pattern);
    return own ? *own : *profile.rule(wider_name(pattern));
}

bool has_class(Pattern pattern) {
    switch (pattern) {
        case Pattern::string_off:  // not under load is no abnormality
        case Pattern::shading:
        case Pattern::module_cooler:
        case Pattern::module_missing:
        case Pattern::module_replaced:
            return false;
        default:
            return true;
    }
}

// What a pattern is on, by its widest name: a cell, a substring, a module or a string.
Pattern widest_name(Pattern pattern) {
    switch (pattern) {
        case Pattern::substring_bypassed:
        case Pattern::open_circuit_module:
        case Pattern::string_warm_cause_open:
            return pattern;
        default:
            return wider_name(pattern);
    }
}

}  // namespace

Uncertain<KelvinDelta> with_relative_terms(const ScoreInput& input, double delta_k, double u_k) {
    const double relative = std::isfinite(input.difference_relative_u)
                                ? input.difference_relative_u
                                : input.profile.front_emissivity_u.value / input.profile.glass_emissivity.value;
    return {KelvinDelta(delta_k), combine_independent(u_k, relative * delta_k)};
}

Uncertain<KelvinDelta> with_cell_terms(const ScoreInput& input, const ModuleState& module, double delta_k, double u_k) {
    return with_relative_terms(
        input, delta_k, combine_independent(u_k, module.input->shared.cell_relative_u * delta_k));
}

double full_export_rise_k(const ScoreInput& input, const ModuleState& module) {
    const ModuleType& type = *module.type;
    const double efficiency = type.rated_power_w / (1000.0 * type.width.value() * type.height.value());
    const KelvinDelta over_air(module.base_c() - module.input->conditions.air.value.value());
    return lost_export_rise(over_air, efficiency, input.profile.absorbed_fraction.value).value();
}

Finding begin_finding(const ScoreInput& input, const ModuleState& module, Pattern pattern) {
    Finding finding;
    finding.module = module.input->fused.module;
    finding.string = input.layout.modules[static_cast<std::size_t>(finding.module)].string;
    finding.candidates = module.input->candidates;
    finding.pattern = pattern;
    finding.time = module.input->time;
    finding.conditions = module.input->conditions;
    finding.frames = module.input->fused.frames;
    finding.flags = module.input->fused.flags;
    finding.flags |= module.input->conditions.flags;
    if (finding.flags.has(Flag::clipped)) {
        finding.flags.set(Flag::lower_bound);  // the hot end is cut off
    }
    if (!module.input->conditions.load_fraction.is_known()) {
        finding.flags.set(Flag::load_unknown);
    }
    return finding;
}

void scale_and_classify(const ScoreInput& input, Finding& finding) {
    const auto& rule = rule_of(input.profile, finding.pattern);
    finding.exponent = rule.exponent;
    finding.delta_t_1000 = scale_to_1000(finding.delta_t, scaling_irradiance(finding.conditions), rule);
    if (finding.pattern == Pattern::string_off) {  // not under load is no abnormality
        finding.abnormality = AbnormalityClass::none;
        finding.class_probability = 1.0;
        return;
    }
    const auto decision = classify(finding.delta_t_1000, rule);
    finding.abnormality = decision.abnormality;
    finding.class_probability = decision.probability;
}

void set_shading_outcome(double probability, Finding& finding) {
    finding.pattern_probability = probability;
    finding.abnormality = AbnormalityClass::none;
    finding.class_probability = probability;
}

void weigh_runner_up(const ScoreInput& input, Finding& finding) {
    const double first = finding.pattern_probability;
    const bool own_rule = classify(finding.delta_t_1000, rule_of(input.profile, finding.pattern)).abnormality ==
                          finding.abnormality;  // else a hot cell in a substring set the class
    if (!finding.pattern_second || !has_class(finding.pattern) || !own_rule || !(first < 1.0) ||
        !std::isfinite(finding.class_probability) ||
        widest_name(finding.pattern) != widest_name(*finding.pattern_second)) {
        return;
    }
    double second = 0.0;
    if (has_class(*finding.pattern_second)) {
        const auto& rule = rule_of(input.profile, *finding.pattern_second);
        const auto scaled = scale_to_1000(finding.delta_t, scaling_irradiance(finding.conditions), rule);
        second = class_probability(finding.abnormality, scaled, rule);
    } else if (finding.abnormality == AbnormalityClass::none) {
        second = 1.0;
    }
    finding.class_probability = first * finding.class_probability + (1.0 - first) * second;
}

std::string finding_id(std::string_view owner, const Finding& finding) {
    std::string id(owner);
    id += '.';
    id += to_string(finding.pattern);
    const std::string part = part_of(finding);
    return part.empty() ? id : id + "." + part;
}

std::string reference_words(const ReferenceLevel& reference) {
    return "lower mode of " + count_words(reference.members, "like module") + " within " +
           number_words(std::ceil(reference.farthest_m), 0) + " m, " + std::to_string(reference.in_table) +
           " in its table";
}

std::string scaled_words(const Finding& finding) {
    const char* bound =
        finding.flags.has(Flag::clipped) ? ", pixels at the end of the camera's range: at least " : ", ";
    return bound + difference_words(finding.delta_t_1000) + " at 1000 W/m² (measured at " +
           number_words(scaling_irradiance(finding.conditions).value.value(), 0) + " W/m², exponent " +
           number_words(finding.exponent, 1) + ")";
}

}  // namespace heatrow
