#include "cut_views.hpp"

#include "frame_sites.hpp"
#include "heatrow/camera/posed_camera.hpp"
#include "heatrow/georeference/side_evidence.hpp"
#include "parallel_items.hpp"
#include "place_frame.hpp"
#include "read_frame.hpp"
#include "sample_settings.hpp"
#include "slot_views.hpp"
#include "view_conditions.hpp"

#include <algorithm>
#include <set>
#include <utility>

namespace heatrow {
namespace {

// In layout order.
std::vector<int> never_whole(const Layout& layout,
                             const std::vector<FrameOutcome>& outcomes,
                             std::span<const int> left_out) {
    std::vector<char> is_out(layout.modules.size(), 0);
    for (const FrameOutcome& outcome : outcomes) {
        for (const ModuleSlot& slot : outcome.record.slots) {
            is_out[static_cast<std::size_t>(slot.module)] = 1;
        }
    }
    for (const int module : left_out) {
        is_out[static_cast<std::size_t>(module)] = 1;
    }
    std::vector<int> modules;
    for (std::size_t i = 0; i < is_out.size(); ++i) {
        if (is_out[i] == 0) {
            modules.push_back(static_cast<int>(i));
        }
    }
    return modules;
}

// Those that face the camera, with a corner in the picture, of tables that the frame shows modules of.
std::vector<int> cut_in(const LayoutIndex& site,
                        const Lens& lens,
                        const SlotRecord& record,
                        const std::vector<int>& modules) {
    std::set<int> tables;
    for (const ModuleSlot& slot : record.slots) {
        tables.insert(site.module(slot.module).table);
    }
    const PosedCamera camera(lens, record.pose);
    std::vector<int> cut;
    for (const int module : modules) {
        if (!tables.contains(site.module(module).table) ||
            site.normal_in_site(module).dot(camera.position_in_site() - site.centre_in_site(module)) <= 0.0) {
            continue;
        }
        const auto& corners = site.module(module).corners_in_site;
        if (std::any_of(corners.begin(), corners.end(), [&](const Eigen::Vector3d& corner) {
                const auto pixel = camera.project(corner);
                return pixel && inside_picture(lens, *pixel);
            })) {
            cut.push_back(module);
        }
    }
    return cut;
}

struct CutSlots {
    std::size_t frame = 0;
    std::vector<int> modules;  // to look at
    SlotRecord record;         // with their slots alone
    std::vector<BandFit> fits;
    SlotViews views;
};

void merge(CutSlots& cut, FrameOutcome& outcome) {
    for (std::size_t s = 0; s < cut.record.slots.size(); ++s) {
        ModuleSlot& slot = cut.record.slots[s];
        auto& slots = outcome.record.slots;
        const auto next = std::lower_bound(
            slots.begin(), slots.end(), slot.module, [](const ModuleSlot& a, int module) { return a.module < module; });
        const auto at = next - slots.begin();
        if (static_cast<std::size_t>(at) <= outcome.spread.fits.size()) {
            outcome.spread.fits.insert(outcome.spread.fits.begin() + at, cut.fits[s]);
        }
        outcome.views.insert(outcome.views.begin() + at, in_memory(std::move(cut.views.views[s])));
        outcome.view_conditions.insert(outcome.view_conditions.begin() + at, cut.views.conditions[s]);
        slots.insert(next, std::move(slot));
    }
}

}  // namespace

void add_cut_views(const SurveyInputs& inputs,
                   const LayoutIndex& site,
                   std::span<const FrameName> names,
                   std::span<const int> left_out,
                   int threads,
                   const Progress& progress,
                   std::vector<FrameOutcome>& outcomes) {
    const std::vector<int> modules = never_whole(inputs.layout, outcomes, left_out);
    if (modules.empty()) {
        return;
    }
    const FrameSites sites(inputs, site);
    std::vector<CutSlots> frames;
    for (std::size_t i = 0; i < outcomes.size(); ++i) {
        if (outcomes[i].rejection || !names[i].named) {
            continue;
        }
        if (auto cut = cut_in(sites.of(i), inputs.lens, outcomes[i].record, modules); !cut.empty()) {
            frames.push_back({i, std::move(cut), {}, {}, {}});
        }
    }
    if (frames.empty()) {
        return;
    }
    const FrameSamplers samplers(sites, sample_options(inputs));
    const ViewConditions view_conditions(inputs);
    for_each_item(frames.size(), threads, "looking at cut modules", progress, [&](std::size_t item) {
        CutSlots& cut = frames[item];
        const std::size_t i = cut.frame;
        const auto frame = read_accepted(inputs, i);
        if (!frame) {
            return;
        }
        const FramePose& pose = outcomes[i].record.pose;
        const auto evidence = evidence_of_sides(
            sites.of(i), inputs.lens, pose, frame->counts.view(), lock_options(inputs, i), cut.modules);
        const FrameCircumstances circumstances = circumstances_of(inputs, i, *frame);
        cut.record.frame = static_cast<int>(i);
        cut.record.pose = pose;
        for (std::size_t m = 0; m < cut.modules.size(); ++m) {
            if (evidence[m].probed == 0) {  // nothing says that it is there
                continue;
            }
            auto slot = samplers.of(i).sample_part(
                cut.modules[m], PosedCamera(inputs.lens, pose), frame->counts.view(), circumstances);
            if (slot) {
                cut.record.slots.push_back(std::move(*slot));
                cut.fits.push_back({evidence[m].probed, evidence[m].shown});
            }
        }
        cut.views = views_of(inputs, sites.of(i), view_conditions, cut.record);
    });
    for (CutSlots& cut : frames) {
        merge(cut, outcomes[cut.frame]);
    }
}

}  // namespace heatrow
