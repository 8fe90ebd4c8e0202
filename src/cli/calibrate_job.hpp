// The jobs of `heatrow calibrate`.
#pragma once

#include "job.hpp"

#include <filesystem>
#include <memory>
#include <vector>

namespace heatrow::cli {

std::unique_ptr<Job> make_calibrate_camera();
std::unique_ptr<Job> make_calibrate_flat_field();
std::unique_ptr<Job> make_calibrate_reflected();
std::unique_ptr<Job> make_calibrate_emissivity();

// Files as they are, folders as the files in them, in natural order of names.
std::vector<std::filesystem::path> listed_files(const std::vector<std::filesystem::path>& given);

}  // namespace heatrow::cli
