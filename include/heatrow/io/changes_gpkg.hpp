// changes.gpkg (docs/formats/changes.md): a map of what changed, styled.
#pragma once

#include "heatrow/compare/changes.hpp"

#include <filesystem>

namespace heatrow {

// On the plan of the last survey. Throws Error(output).
void write_changes_gpkg(const Comparison& comparison,
                        std::span<const SurveyRecord* const> surveys,
                        const std::filesystem::path& path);

// The gravest kind on each module of the last survey's layout in the step to it, of its parts and of its string, those
// that findings name before others; of a module without any, `unchanged` or, where it was not compared,
// `not_comparable`.
std::vector<ChangeKind> kinds_of_modules(const Comparison& comparison, std::span<const SurveyRecord* const> surveys);

}  // namespace heatrow
