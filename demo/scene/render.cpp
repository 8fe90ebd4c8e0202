#include "render.hpp"

#include "corner_points.hpp"
#include "fault_truth.hpp"
#include "frame_encoding.hpp"
#include "frame_renderer.hpp"
#include "heatrow/core/error.hpp"
#include "heatrow/core/median.hpp"
#include "mirror_truth.hpp"
#include "moving_trackers.hpp"
#include "orthomosaic.hpp"
#include "output_folder.hpp"
#include "season_truth.hpp"
#include "seasons.hpp"
#include "survey_writer.hpp"
#include "truth_writer.hpp"
#include "visible_frame.hpp"

#include <fmt/format.h>
#include <gdal.h>
#include <tbb/global_control.h>
#include <tbb/parallel_for.h>

#include <algorithm>
#include <memory>
#include <mutex>

namespace scene {
namespace {

void check_handheld(const World& world, const std::vector<std::vector<ViewTruth>>& views) {
    for (std::size_t shot = 0; shot < views.size(); ++shot) {
        if (pick_corners(world, static_cast<int>(shot), views[shot]).empty()) {
            throw heatrow::Error(heatrow::ErrorKind::usage,
                                 "Could not render the scene",
                                 world.shots[shot].name,
                                 "its station sees no module wholly, so no corner can be picked",
                                 "Move the station or its target.");
        }
    }
}

RenderSummary summarise(const World& world,
                        const std::vector<std::vector<ViewTruth>>& views,
                        const std::vector<FaultTruth>& faults) {
    RenderSummary summary;
    summary.frames = static_cast<int>(world.shots.size());
    summary.modules = static_cast<int>(world.plant.panels.size());
    summary.strings = static_cast<int>(world.plant.strings.size());
    summary.faults = static_cast<int>(faults.size());
    summary.in_scope = static_cast<int>(std::ranges::count(faults, true, &FaultTruth::in_scope));
    std::vector<double> counts(world.plant.panels.size(), 0.0);
    for (const auto& of_shot : views) {
        for (const ViewTruth& view : of_shot) {
            counts[static_cast<std::size_t>(view.panel)] += view.whole() ? 1.0 : 0.0;
        }
    }
    summary.median_views = heatrow::take_median(counts);
    return summary;
}

struct Rendered {
    RenderSummary summary;
    std::vector<FaultTruth> faults;
};

// One survey and its truth into a folder that is there.
Rendered render_survey(const World& world, const std::filesystem::path& folder, const Progress& progress) {
    const MovingWorlds moving(world);
    std::vector<std::unique_ptr<FrameRenderer>> renderers;
    for (std::size_t i = 0; i < moving.count(); ++i) {
        renderers.push_back(std::make_unique<FrameRenderer>(moving.world(i)));
    }
    const std::filesystem::path frames = folder / "frames";
    std::filesystem::create_directories(frames);
    std::optional<VisibleRenderer> visible;
    if (world.spec.visible) {
        visible.emplace(world);
        std::filesystem::create_directories(folder / kVisibleFolder);
    }
    std::vector<std::vector<ViewTruth>> views(world.shots.size());
    std::vector<std::vector<MirrorTruth>> mirrors(world.shots.size());
    std::vector<heatrow::Image<float>> readings_c(world.spec.mosaic ? world.shots.size() : 0);
    std::mutex mutex;
    int done = 0;
    tbb::parallel_for(
        tbb::blocked_range<std::size_t>(0, world.shots.size(), 1),
        [&](const tbb::blocked_range<std::size_t>& range) {
            for (std::size_t shot = range.begin(); shot != range.end(); ++shot) {
                const std::size_t number = moving.number_of(shot);
                const World& now = moving.world(number);
                views[shot] = true_views(now, static_cast<int>(shot));
                mirrors[shot] = true_mirrors(now, static_cast<int>(shot), views[shot]);
                heatrow::Image<float> reading_c = renderers[number]->render(static_cast<int>(shot));
                if (world.spec.mosaic) {
                    readings_c[shot] = std::move(reading_c);
                } else {
                    write_frame(frames / world.shots[shot].name, reading_c, world.spec.camera);
                }
                if (visible) {
                    write_picture(folder / kVisibleFolder / visible_name(world, world.shots[shot].name),
                                  visible->render(static_cast<int>(shot)),
                                  *world.spec.visible);
                }
                const std::lock_guard lock(mutex);
                progress(++done, static_cast<int>(world.shots.size()));
            }
        },
        tbb::simple_partitioner());
    if (world.spec.handheld) {
        check_handheld(world, views);
    }
    std::vector<ViewTruth> in_mosaic;
    if (world.spec.mosaic) {
        std::filesystem::remove(frames);
        in_mosaic = write_mosaic(world, readings_c, folder / MosaicSpec::kFile);
    }
    auto faults = true_faults(world, views);
    write_survey(world, views, folder);
    write_truth(world, views, in_mosaic, mirrors, faults, folder / "truth");
    return {summarise(world, views, faults), std::move(faults)};
}

// The survey without its frames, for what reads layout and logs alone.
RenderSummary plan_survey(const World& world, const std::filesystem::path& folder) {
    std::vector<std::vector<ViewTruth>> views;
    if (world.spec.handheld) {  // the picked corners need them
        for (int shot = 0; shot < static_cast<int>(world.shots.size()); ++shot) {
            views.push_back(true_views(world, shot));
        }
        check_handheld(world, views);
    }
    write_survey(world, views, folder);
    return summarise(world, views, {});
}

// Each season into a folder of its own, with what changed since the earlier ones.
std::vector<RenderSummary> render_seasons(const SceneSpec& spec,
                                          std::uint64_t seed,
                                          const std::filesystem::path& folder,
                                          const Progress& progress) {
    std::vector<RenderSummary> summaries;
    std::vector<SeasonRecord> records;
    std::string list = "season,folder\n";
    for (std::size_t season = 0; season < spec.seasons.size(); ++season) {
        const World world(in_season(spec, season), seed);
        const std::string& id = spec.seasons[season].id;
        Rendered rendered = render_survey(world, folder / id, progress);
        rendered.summary.season = id;
        const SeasonRecord now(world, rendered.faults);
        if (!records.empty()) {
            write_changes(records, now, folder / id / "truth");
        }
        records.push_back(now);
        summaries.push_back(rendered.summary);
        list += fmt::format("{},{}\n", id, id);
    }
    write_text(folder / kSeasonList, list);
    return summaries;
}

}  // namespace

std::vector<RenderSummary> render_scene(const RenderOptions& options, const Progress& progress) {
    std::optional<tbb::global_control> limit;
    if (options.threads > 0) {
        limit.emplace(tbb::global_control::max_allowed_parallelism, static_cast<std::size_t>(options.threads));
    }
    GDALAllRegister();
    const SceneSpec spec = read_scene(options.scene);
    const std::uint64_t seed = options.seed.value_or(spec.seed);
    OutputFolder folder(options.out, options.overwrite);
    if (options.plan_only && !spec.seasons.empty()) {
        throw heatrow::Error(heatrow::ErrorKind::usage,
                             "Will not write a plan only",
                             options.scene.string(),
                             "the scene has seasons, whose truth needs the faults",
                             "Leave out --plan-only.");
    }
    const auto summaries =
        options.plan_only      ? std::vector{plan_survey(World(spec, seed, World::Parts::plan), folder.path())}
        : spec.seasons.empty() ? std::vector{render_survey(World(spec, seed), folder.path(), progress).summary}
                               : render_seasons(spec, seed, folder.path(), progress);
    folder.publish();
    return summaries;
}

}  // namespace scene
