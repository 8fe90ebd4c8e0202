// The features of a layout file, checked field by field, before they become a Layout.
#pragma once

#include "heatrow/core/error.hpp"
#include "heatrow/core/units.hpp"
#include "heatrow/site/planned_module.hpp"
#include "heatrow/site/turned_layout.hpp"
#include "module_outline.hpp"

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace heatrow::detail {

struct GeographicPoint {
    double longitude_deg = 0.0;
    double latitude_deg = 0.0;
};

struct LayoutFeature {
    std::string module;
    std::string type;
    std::string string;  // empty = in none
    int position = 0;    // 0 where `string` is empty
    std::string table;   // empty = on none
    StringHome home;
    double tilt_deg = 0.0;
    double azimuth_deg = 0.0;
    Metres height{0.0};
    TopEdge top = TopEdge::up;
    std::vector<GeographicPoint> ring;  // WGS 84, not closed
    std::optional<TableAxis> axis;      // of its table
};

// A complaint about one module, in parts.
class LayoutFault : public Error {
  public:
    LayoutFault(const std::filesystem::path& file,
                std::string_view entity,
                std::string_view why,
                std::string_view remedy);
    [[nodiscard]] const std::string& entity() const { return entity_; }
    [[nodiscard]] const std::string& why() const { return why_; }
    [[nodiscard]] const std::string& remedy() const { return remedy_; }

  private:
    std::string entity_;
    std::string why_;
    std::string remedy_;
};

// In the order of the file. Throws Error(input) naming file, module, field and value. With `faults`, what is wrong with
// single features is added there, and the others are read.
std::vector<LayoutFeature> read_layout_features(const std::filesystem::path& file,
                                                std::vector<LayoutFault>* faults = nullptr);

// One complaint about a layout.
[[noreturn]] void fail_layout(const std::filesystem::path& file,
                              std::string_view module,
                              std::string_view why,
                              std::string_view remedy);

}  // namespace heatrow::detail
