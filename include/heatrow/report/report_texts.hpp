// The fixed texts of reports, for outputs that are made elsewhere.
#pragma once

#include <span>
#include <string_view>
#include <utility>

namespace heatrow {

// Terms with their meanings.
std::span<const std::pair<std::string_view, std::string_view>> report_terms();
std::span<const std::string_view> report_cautions();

}  // namespace heatrow
