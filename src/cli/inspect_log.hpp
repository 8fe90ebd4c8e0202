// `heatrow inspect` for conditions logs.
#pragma once

#include "command.hpp"

#include <filesystem>

namespace heatrow::cli {

// Whether a file is a table with a time column: a conditions log, not a matrix of temperatures. Never throws for what
// the file holds.
bool is_conditions_log(const std::filesystem::path& file);

// Shows what the log holds, how it was read and what is wrong with it. Throws Error as read_conditions_log does.
ExitCode inspect_log(const std::filesystem::path& file, bool json);

}  // namespace heatrow::cli
