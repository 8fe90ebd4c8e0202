// The site as each frame saw it: with trackers, tables stand elsewhere from frame to frame.
#pragma once

#include "heatrow/segment/sample.hpp"
#include "heatrow/site/layout_index.hpp"
#include "survey_inputs.hpp"

#include <cstddef>
#include <memory>
#include <vector>

namespace heatrow {

// Immutable once made; safe to ask from many threads.
class FrameSites {
  public:
    // Frames among which no table turns by more than this share one site: 2 mm at 1 m from the axis.
    static constexpr Radians kAlike = degrees(0.1);

    // `site` is the one that stands for the survey (the layout as it was in its middle); it and `inputs` must outlive
    // the object.
    FrameSites(const SurveyInputs& inputs, const LayoutIndex& site);

    [[nodiscard]] std::size_t count() const { return sites_.size(); }
    [[nodiscard]] const LayoutIndex& site(std::size_t number) const { return *sites_[number]; }
    [[nodiscard]] std::size_t number_of(std::size_t frame) const { return number_of_[frame]; }
    [[nodiscard]] const LayoutIndex& of(std::size_t frame) const { return *sites_[number_of_[frame]]; }

  private:
    struct Turned {
        Layout layout;
        LayoutIndex index;
        explicit Turned(Layout turned) : layout(std::move(turned)), index(layout) {}
    };
    std::vector<std::unique_ptr<Turned>> turned_;
    std::vector<const LayoutIndex*> sites_;
    std::vector<std::size_t> number_of_;  // by frame
};

// What samples each of the sites.
class FrameSamplers {
  public:
    // `sites` must outlive the object.
    FrameSamplers(const FrameSites& sites, const SampleOptions& options);

    [[nodiscard]] const ModuleSampler& of(std::size_t frame) const { return *samplers_[sites_.number_of(frame)]; }

  private:
    const FrameSites& sites_;
    std::vector<std::unique_ptr<ModuleSampler>> samplers_;
};

}  // namespace heatrow
