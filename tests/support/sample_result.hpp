// The result folder of the invented survey.
#pragma once

#include "support/sample_record.hpp"

#include <filesystem>
#include <map>
#include <string>

namespace heatrow::testing {

void write_sample_result(const std::filesystem::path& folder, const SampleOptions& options = {});

// Every file below a folder with its bytes.
std::map<std::string, std::string> files_of(const std::filesystem::path& folder);

}  // namespace heatrow::testing
