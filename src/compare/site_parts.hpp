// Parts of a site that histories are told of: what findings name, and what a search finds changed.
#pragma once

#include "heatrow/compare/changes.hpp"

namespace heatrow {

// A part with the finding on it in each survey, -1 = none.
struct NamedPart {
    SitePart part;
    std::vector<int> findings;
};

// Parts that findings name, those of several surveys that overlap as one. Findings that a reviewer rejected and those
// on modules without a sure name are left out; `left_out` counts the latter, by survey.
std::vector<NamedPart> parts_of_findings(const SiteMatch& site,
                                         std::span<const SurveyRecord* const> surveys,
                                         std::vector<int>& left_out);

// Do they share a cell or substring, or are both the same module or string?
bool overlap(const SitePart& a, const SitePart& b);
// Takes the cells and substrings of another one in.
void join(SitePart& into, const SitePart& other);

}  // namespace heatrow
