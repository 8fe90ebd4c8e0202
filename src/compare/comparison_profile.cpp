#include "heatrow/compare/comparison_profile.hpp"

namespace heatrow {

std::string first_problem(const ComparisonProfile& profile) {
    for (const ComparisonProfileKey& key : kComparisonProfileKeys) {
        if (!((profile.*key.member).value >= 0.0)) {
            return std::string(key.table) + "." + std::string(key.name) + " must not be negative";
        }
    }
    for (const auto& [name, limit] : {std::pair{"identity.least_shared", &profile.least_shared},
                                      {"identity.most_moved", &profile.most_moved},
                                      {"identity.same_place_pitch", &profile.same_place_pitch},
                                      {"change.search_false_share", &profile.search_false_share}}) {
        if (!(limit->value > 0.0 && limit->value < 1.0)) {
            return std::string(name) + " must lie between 0 and 1";
        }
    }
    for (const auto& [name, limit] : {std::pair{"scaling.heat_loss_u0", &profile.heat_loss_u0},
                                      {"uncertainty.least_cell_u_k", &profile.least_cell_u_k},
                                      {"uncertainty.least_substring_u_k", &profile.least_substring_u_k},
                                      {"uncertainty.least_module_u_k", &profile.least_module_u_k},
                                      {"uncertainty.least_string_u_k", &profile.least_string_u_k},
                                      {"change.known_sigma", &profile.known_sigma}}) {
        if (!(limit->value > 0.0)) {
            return std::string(name) + " must be above 0";
        }
    }
    return {};
}

}  // namespace heatrow
