// Drawings of the page of `compare`: signs of the kinds of change, the plan coloured by them, one part over the
// surveys.
#pragma once

#include "heatrow/report/change_page.hpp"

#include <string>
#include <string_view>

namespace heatrow {

// Words for a kind, as the page says it.
std::string_view change_words(ChangeMark mark);
// The sign as an inline drawing, 16 px across.
std::string change_mark_svg(ChangeMark mark);

// The last survey's modules, north up, coloured by kind, with a sign on each that changed. Needs hatch_definition().
std::string change_plan_svg(const ChangePage& page);

// Values over time with their 95 % intervals; filled where there is a finding.
std::string history_svg(const ChangeLine& line, const std::vector<ChangePageSurvey>& surveys);

}  // namespace heatrow
