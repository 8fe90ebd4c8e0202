#include "class_rules.hpp"

#include "toml_section.hpp"

#include <cmath>
#include <limits>

namespace scene {

int ClassRule::class_of(double delta_t_1000_k) const {
    if (delta_t_1000_k >= class_3_from_k) {
        return 3;
    }
    return delta_t_1000_k >= class_2_from_k ? 2 : 1;
}

double ClassRule::distance_k(double delta_t_1000_k) const {
    return std::fmin(std::abs(delta_t_1000_k - class_2_from_k), std::abs(delta_t_1000_k - class_3_from_k));
}

ClassRules read_class_rules(const std::filesystem::path& profile) {
    constexpr double kNever = std::numeric_limits<double>::quiet_NaN();
    const toml::table table = parse_toml(profile);
    Section root(table, "", profile);
    ClassRules rules;
    for (Section& section : root.sections("rule")) {
        ClassRule rule{section.number("class_2_from", kNever), section.number("class_3_from", kNever)};
        rule.exponent = section.number("exponent", 1.0);
        rule.exponent_low = section.number("exponent_low", rule.exponent);
        rule.exponent_high = section.number("exponent_high", rule.exponent);
        if (!std::isnan(rule.class_2_from_k) || !std::isnan(rule.class_3_from_k)) {
            rules[section.text("pattern")] = rule;
        }
    }
    return rules;  // the other keys of a profile are the analyser's
}

}  // namespace scene
