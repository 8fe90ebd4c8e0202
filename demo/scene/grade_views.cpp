#include "grade_views.hpp"

#include "whole_view.hpp"

#include <Eigen/LU>
#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

namespace scene {
namespace {

// Distance between the middles in the plane of the module, m: the true outline gives the pixels of a metre there.
double place_error_m(const Quad& view, const Quad& truth, const PanelType& type) {
    Eigen::Matrix2d px_per_m;
    px_per_m.col(0) = 0.5 * (truth[1] - truth[0] + truth[2] - truth[3]) / type.width_m;
    px_per_m.col(1) = 0.5 * (truth[3] - truth[0] + truth[2] - truth[1]) / type.height_m;
    const Eigen::Vector2d metres = px_per_m.inverse() * (centre_of(view) - centre_of(truth));
    return metres.norm();
}

// Modules with a whole view, and what their views say.
struct Naming {
    bool placed = false;
    bool ambiguous = false;
};

}  // namespace

void add_views(ViewSums& sums, const GradeInput& input) {
    std::map<std::string, std::vector<const FrameModule*>> by_frame;
    std::map<std::string, Naming> naming;
    for (const FrameModule& outline : input.outlines) {
        by_frame[outline.frame].push_back(&outline);
        if (outline.visible_share > kWholeShare && !input.drawn_wrongly(outline.module)) {
            naming.emplace(outline.module, Naming{});
            ++sums.whole_outlines;
        }
    }
    std::set<std::string> missing;
    for (const Abnormality& fault : input.faults) {
        if (fault.pattern == "module_missing") {
            missing.insert(fault.module);
        }
    }
    std::set<std::pair<std::string, std::string>> right_views;
    for (const FrameModule& view : input.views) {
        const auto named = naming.find(view.module);
        if (view.placement != "placed") {
            ++sums.ambiguous;
            if (named != naming.end()) {
                named->second.ambiguous = true;
            }
            continue;
        }
        const auto& outlines = by_frame[view.frame];
        const ViewVerdict verdict = judge_view(view, outlines);
        if (verdict == ViewVerdict::elsewhere && missing.contains(view.module)) {
            continue;  // the hole where the layout has a module: named after it, and no module is confused with it
        }
        ++sums.views;
        if (named != naming.end()) {
            named->second.placed = true;
        }
        sums.right += verdict == ViewVerdict::right ? 1 : 0;
        sums.wrong += verdict == ViewVerdict::wrong ? 1 : 0;
        sums.elsewhere += verdict == ViewVerdict::elsewhere ? 1 : 0;
        if (verdict != ViewVerdict::right) {
            sums.notes.push_back(fmt::format("{} seed {}: {} in {} lies {}",
                                             input.facts.text("scene"),
                                             input.facts.text("seed"),
                                             view.module,
                                             view.frame,
                                             verdict == ViewVerdict::wrong ? "on another module" : "on no module"));
            continue;
        }
        right_views.emplace(view.frame, view.module);
        const auto truth = std::ranges::find(outlines, view.module, [](const FrameModule* o) { return o->module; });
        double error = 0.0;
        for (std::size_t i = 0; i < 4; ++i) {
            error += 0.25 * (view.corners_px[i] - (*truth)->corners_px[i]).norm();
        }
        sums.outline_errors_px.push_back(error);
        if (const auto type = input.types.find(view.module); type != input.types.end()) {
            sums.place_errors_m.push_back(place_error_m(view.corners_px, (*truth)->corners_px, type->second));
        }
    }
    for (const FrameModule& outline : input.outlines) {
        if (outline.visible_share > kWholeShare && !input.drawn_wrongly(outline.module) &&
            right_views.contains({outline.frame, outline.module})) {
            ++sums.whole_outlines_named;
        }
    }
    sums.visible_modules += static_cast<int>(naming.size());
    for (const auto& [module, said] : naming) {
        sums.unnamed_modules += said.placed ? 0 : 1;
        sums.ambiguous_modules += !said.placed && said.ambiguous ? 1 : 0;
    }
    sums.modules += input.modules;
    sums.modules_assessed += input.modules_assessed;
}

}  // namespace scene
