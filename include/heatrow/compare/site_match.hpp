// Which module of one survey is which of another: by id, and by place where the id is new.
#pragma once

#include "heatrow/compare/comparison_profile.hpp"
#include "heatrow/record/survey_record.hpp"

#include <span>
#include <string>
#include <vector>

namespace heatrow {

// Why a module of one survey is not compared with that of another although it is matched.
enum class Identity { same, moved, other_type };

// One place of the site.
struct SiteModule {
    std::vector<int> index;          // layout index in each survey; -1 = the layout does not have it
    std::vector<Identity> identity;  // in each survey, against the one before it that has the module
};

struct SiteString {
    std::vector<int> index;  // layout index in each survey; -1 = none shares its modules
};

struct SiteMatch {
    std::vector<SiteModule> modules;       // in the order of the last survey's layout, then those that it does not have
    std::vector<SiteString> strings;       // the same
    std::vector<Eigen::Vector2d> shift_m;  // east and north by which each survey's plan lies off the first one's
};

// In the order of the surveys. Modules are the same by their id, however far a plan as a whole lies off the other;
// those whose id the other survey does not know are the same by their place and type. Throws Error(input) naming both
// surveys where they share too few modules or where too many ids stand elsewhere. `names`: of the surveys, for that.
SiteMatch match_site(std::span<const SurveyRecord* const> surveys,
                     const std::vector<std::string>& names,
                     const ComparisonProfile& profile);

}  // namespace heatrow
