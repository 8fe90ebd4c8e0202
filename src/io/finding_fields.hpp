// Fields of a finding that findings.csv and survey.gpkg write alike.
#pragma once

#include "heatrow/record/survey_record.hpp"

#include <string>

namespace heatrow::detail {

std::string module_names(const SurveyRecord& record, const std::vector<int>& modules);  // joined by |
std::string frame_names(const SurveyRecord& record, const std::vector<int>& frames);    // joined by |
std::string substring_list(const Finding& finding);                                     // joined by a blank
std::string cell_list(const Finding& finding);                                          // joined by a blank
std::string string_name(const SurveyRecord& record, int string);                        // empty for -1
std::string table_name(const SurveyRecord& record, const Module& module);
// "r3c4"; empty for -1.
std::string hottest_cell_name(const SurveyRecord& record, const ModuleResult& result);

}  // namespace heatrow::detail
