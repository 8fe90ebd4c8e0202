// The response curve of a camera as a table.
#pragma once

#include "heatrow/radiometry/blackbody.hpp"

#include <filesystem>
#include <vector>

namespace heatrow {

// Columns `wavelength_um` (ascending) and `response` (relative, zero or more), one point a row, in any dialect of
// text_table.hpp. Throws Error(usage) naming file, line and field: a column missing, no number, wavelengths that do not
// ascend, a negative response, fewer than two points, nothing above zero. Leading and trailing zeros beyond the last
// one beside a response are dropped.
std::vector<ResponsePoint> read_response_curve(const std::filesystem::path& file);

}  // namespace heatrow
