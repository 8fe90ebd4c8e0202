// The result folder of the invented survey.
#pragma once

#include "support/sample_record.hpp"

#include <filesystem>
#include <functional>
#include <map>
#include <string>

namespace heatrow::testing {

// `change`: what another survey of the site saw, may be empty.
void write_sample_result(const std::filesystem::path& folder,
                         const SampleOptions& options = {},
                         const std::function<void(SurveyRecord&)>& change = {});

// Every file below a folder with its bytes.
std::map<std::string, std::string> files_of(const std::filesystem::path& folder);

}  // namespace heatrow::testing
