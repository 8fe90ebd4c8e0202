// The conditions of one module in one frame: light in its own plane, load of its own string.
#pragma once

#include "heatrow/io/site_conditions.hpp"
#include "heatrow/score/score.hpp"
#include "heatrow/sun/string_load.hpp"

#include <optional>
#include <vector>

namespace heatrow {

// What an electrical log gives; rated currents are the layout's.
struct ElectricalReadings {
    StringReadings strings;
    StringLoadOptions options;
};

class ModuleConditions {
  public:
    ModuleConditions() = default;
    // times: of the frames; those without one keep their place, nobody asks for them.
    ModuleConditions(const Layout& layout,
                     SiteConditions site,
                     std::optional<ElectricalReadings> electrical,
                     std::vector<UtcTime> times,
                     const ConditionsLimits& limits);

    [[nodiscard]] const SiteConditions& site() const { return site_; }
    // In the plane of most modules or, where the log says nothing of that, in the first plane of which it does.
    [[nodiscard]] const tl::expected<FrameConditions, Rejection>& of_frame(int frame) const;
    // In one plane of the site; the irradiance is not known where the log does not say it.
    // Precondition, here and below: the frame has conditions.
    [[nodiscard]] FrameConditions in_plane(int plane, int frame) const;
    // In the module's own plane, with its string's load where that was read.
    [[nodiscard]] FrameConditions of_module(int module, int frame) const;
    // What was read of a string while these frames were taken.
    [[nodiscard]] StringLoad load_of(int string, const std::vector<int>& frames) const;

  private:
    struct StringFacts {
        std::vector<StringReading> readings;
        StringLoadOptions options;  // with the string's rated current
        int plane = 0;
    };
    [[nodiscard]] Uncertain<double> load_at(const StringFacts& string, UtcTime time) const;
    void clear_load_flags();

    SiteConditions site_;
    std::vector<UtcTime> times_;
    std::vector<std::vector<tl::expected<FrameConditions, Rejection>>> by_plane_;  // [plane][frame]
    std::vector<int> string_of_module_;
    std::vector<StringFacts> strings_;  // by layout index; empty without an electrical log
};

}  // namespace heatrow
