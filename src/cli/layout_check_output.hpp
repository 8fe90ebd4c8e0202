// What `layout check` says, as text and as JSON.
#pragma once

#include "heatrow/io/layout_check.hpp"
#include "heatrow/site/layout.hpp"
#include "heatrow/site/planned_module.hpp"

#include <filesystem>
#include <string>
#include <vector>

namespace heatrow::cli {

// Modules by type, strings by length, tables by size; with every string and table where `all`.
std::string layout_counts_text(const LayoutCheck& check, bool all);
// One paragraph a problem, at most `most` of one kind.
std::string layout_problems_text(const LayoutCheck& check, int most);
std::string layout_check_json(const LayoutCheck& check, const std::string& file);

// Writes a layout file; unless `quiet`, prints its counts, and on stderr what is in doubt.
struct LayoutOutput {
    std::filesystem::path path;
    bool overwrite = false;
    bool quiet = false;
};
void publish_layout(const std::vector<PlannedModule>& modules,
                    const SiteOrigin& origin,
                    const ModuleTypeCatalogue& types,
                    const LayoutOutput& output);

}  // namespace heatrow::cli
