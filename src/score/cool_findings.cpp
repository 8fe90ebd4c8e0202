// Modules that are cooler than their like neighbours, and places where none is.
#include "evidence_text.hpp"
#include "finding_parts.hpp"
#include "findings.hpp"
#include "heatrow/core/normal.hpp"

#include <algorithm>
#include <cmath>

namespace heatrow {

bool add_cool_finding(const ScoreInput& input,
                      const SurveyState& state,
                      const ModuleState& module,
                      std::vector<Finding>& findings) {
    // Bare ground at the place of a module that may stand elsewhere says that the drawing is off, not that one is
    // missing.
    if (!module.reference || module.input->shade || module.input->placement != Placement::placed) {
        return false;
    }
    const double rise = module.level_c - module.reference->level_c;
    const double u = module_u_k(state, module);
    const double least = std::max(input.profile.candidate_cool_k.value, input.profile.candidate_sigma.value * u);
    if (!(rise <= -least)) {
        return false;
    }
    // A module in the sun is far warmer than the air, whatever it exports; ground, grass and snow are not.
    const double over_air = module.level_c - module.input->conditions.air.value.value();
    const double of_others = module.reference->level_c - module.input->conditions.air.value.value();
    const bool missing = over_air < input.profile.missing_rise_share.value * of_others;
    if (!missing && !module.warm_substrings.empty()) {
        return false;  // cool in a part alone
    }
    Finding finding = begin_finding(input, module, missing ? Pattern::module_missing : Pattern::module_cooler);
    finding.delta_t = with_relative_terms(input, rise, stated_module_u_k(module));
    finding.t_reference = Celsius(module.reference->level_c);
    finding.t_hot = Celsius(module.level_c);
    finding.reference = reference_words(*module.reference);
    scale_and_classify(input, finding);
    finding.abnormality = AbnormalityClass::none;  // coolness is no thermal abnormality
    finding.class_probability = 1.0;
    finding.pattern_probability = normal_cdf((-rise - input.profile.candidate_cool_k.value) / u);
    finding.pattern_second = missing ? Pattern::module_cooler : Pattern::module_replaced;
    finding.evidence = std::string(missing                    ? "What is seen at the module's place"
                                   : module.is_seen_in_part() ? "What is seen of the module"
                                                              : "The whole module") +
                       " is " + number_words(-rise, 1) + " K ± " + number_words(finding.delta_t.u95(), 1) +
                       " K cooler than the " + finding.reference;
    if (std::isfinite(over_air) && std::isfinite(of_others)) {
        finding.evidence +=
            ", " + number_words(over_air, 1) + " K over the air where these are " + number_words(of_others, 1) + " K";
    }
    finding.evidence += std::string("; ") +
                        (missing ? "no module in the sun stays so cool"
                                 : "shade, dirt, snow, another tilt or another kind of module are open") +
                        "; " + count_words(static_cast<int>(finding.frames.size()), "frame") + ".";
    findings.push_back(std::move(finding));
    return missing;
}

}  // namespace heatrow
