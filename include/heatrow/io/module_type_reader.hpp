// Module type files (docs/formats/module-type.md).
#pragma once

#include "heatrow/site/module_type.hpp"

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

namespace heatrow {

// Throws Error(usage) naming file, line, key and value; also where a cell is in no substring or in two.
ModuleType read_module_type(const std::filesystem::path& file);
ModuleType parse_module_type(std::string_view text, const std::filesystem::path& file);

// Type files of several folders, the earlier folder winning.
class ModuleTypeCatalogue {
  public:
    explicit ModuleTypeCatalogue(std::vector<std::filesystem::path> folders);

    // Both throw Error(input) where no folder holds `<id>.toml`, naming the types that there are.
    [[nodiscard]] std::filesystem::path file_of(std::string_view id) const;
    [[nodiscard]] ModuleType read(std::string_view id) const;
    // Sorted.
    [[nodiscard]] std::vector<std::string> ids() const;
    [[nodiscard]] const std::vector<std::filesystem::path>& folders() const { return folders_; }

  private:
    std::vector<std::filesystem::path> folders_;
};

}  // namespace heatrow
