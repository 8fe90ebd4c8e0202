// [work_list] of survey.toml (docs/formats/survey-toml.md).
#pragma once

#include "heatrow/io/work_list_files.hpp"
#include "toml_section.hpp"

namespace heatrow::detail {

// Defaults where the section is absent. Throws Error(usage).
WorkListSettings read_work_list_settings(const TomlSection& root);

}  // namespace heatrow::detail
