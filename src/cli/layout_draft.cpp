#include "heatrow/core/error.hpp"
#include "heatrow/core/fixed_text.hpp"
#include "heatrow/io/data_folder.hpp"
#include "heatrow/io/output_file.hpp"
#include "heatrow/io/survey_settings.hpp"
#include "heatrow/pipeline/draft_layout.hpp"
#include "layout_check_output.hpp"
#include "layout_job.hpp"
#include "progress_line.hpp"
#include "rounded_json.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <optional>

namespace heatrow::cli {
namespace {

class LayoutDraftJob : public Job {
  public:
    [[nodiscard]] std::string name() const override { return "draft"; }
    [[nodiscard]] std::string summary() const override {
        return "No drawing? Finds the modules in the frames and writes a layout to correct, with what is in doubt";
    }
    [[nodiscard]] std::string footer() const override {
        return "The survey's site.layout need not exist yet. Tables go to stdout, doubts to stderr and, module by "
               "module, "
               "into the field 'doubt'. Strings are not drafted. See docs/segmentation.md.\n"
               "Examples:\n"
               "  heatrow layout draft survey/ survey/layout.geojson --type generic-60-full\n"
               "  heatrow layout draft survey/ draft.geojson --type generic-60-full --type my-type --json\n"
               "  heatrow layout draft roof/ draft.geojson --type generic-60-full --frame IR_0007.tif --tilt 35 "
               "--azimuth 175   # handheld, no poses";
    }
    void set_up(CLI::App& app) override {
        app.add_option("survey", survey_, "Survey folder, or its survey.toml")->required();
        app.add_option("out", out_, "Layout to write, GeoJSON")->required();
        app.add_option("--type", options_.types, "Id of a module type on site; again for each other one")
            ->required()
            ->allow_extra_args(false);
        auto* frame = app.add_option("--frame", frame_.name, "Draft from this frame alone, which needs no pose");
        auto* tilt = app.add_option("--tilt", frame_.tilt_deg, "Of the modules in that frame, degrees from horizontal")
                         ->check(CLI::Range(0.0, 85.0));
        auto* azimuth = app.add_option("--azimuth",
                                       frame_.azimuth_deg,
                                       "That they face, degrees clockwise from north; up the picture is up the slope")
                            ->check(CLI::Range(-360.0, 360.0));
        frame->needs(tilt)->needs(azimuth);
        tilt->needs(frame);
        azimuth->needs(frame);
        app.add_option("--threads", options_.threads, "Threads; 0 = all cores. The result does not depend on it")
            ->check(CLI::Range(0, 1024))
            ->capture_default_str();
        app.add_flag("--overwrite", overwrite_, "Replace that file");
        app.add_flag("--json", json_, "Print JSON");
        app.add_flag("-q,--quiet", quiet_, "No progress, no counts, no doubts");
    }
    ExitCode run() override;

  private:
    void print_text(const LayoutDraft& draft) const;
    static void print_json(const LayoutDraft& draft);

    std::filesystem::path survey_;
    std::filesystem::path out_;
    DraftOptions options_;
    UnposedFrame frame_;
    bool overwrite_ = false;
    bool json_ = false;
    bool quiet_ = false;
};

void LayoutDraftJob::print_text(const LayoutDraft& draft) const {
    fmt::print("frames    {} looked at, {} with modules, {} joined\n",
               draft.frames,
               draft.frames_with_grids,
               draft.frames_joined);
    if (draft.frames > 1) {
        fmt::print("poses     logged yaws are {} deg too large together; distances are {} times those by the modules' sizes\n",
                   fixed_text(draft.yaw_turn_deg, 1),
                   fixed_text(draft.scale, 3));
    }
    for (const DraftedTable& table : draft.tables) {
        fmt::print("table     {}: {} modules in {} x {}, tilt {}, azimuth {} deg, in {} frame{}\n",
                   table.id,
                   table.modules,
                   table.tiers,
                   table.columns,
                   fixed_text(table.tilt_deg, 1),
                   fixed_text(table.azimuth_deg, 1),
                   table.frames,
                   table.frames == 1 ? "" : "s");
    }
    std::fflush(stdout);
    for (const DraftedTable& table : draft.tables) {
        for (const std::string& doubt : table.doubts) {
            fmt::print(stderr, "{}: {}\n", table.id, doubt);
        }
    }
    int doubtful = 0;
    for (const PlannedModule& module : draft.modules) {
        constexpr int kMostShown = 20;
        if (!module.doubt.empty() && ++doubtful <= kMostShown) {
            fmt::print(stderr, "{}: {}\n", module.id, module.doubt);
        } else if (doubtful == kMostShown + 1 && !module.doubt.empty()) {
            fmt::print(stderr, "more modules in doubt: see the field 'doubt' of the file\n");
        }
    }
    for (const std::string& note : draft.notes) {
        fmt::print(stderr, "note: {}\n", note);
    }
    fmt::print(stderr,
               "To be corrected by hand: ids and strings as on site; which way up the modules hang ('top'); the place, "
               "which is as true as {}; what is in doubt.\n",
               options_.frame ? "--tilt, --azimuth and the site's origin" : "the middle of the logged positions");
}

void LayoutDraftJob::print_json(const LayoutDraft& draft) {
    nlohmann::ordered_json json;
    json["schema"] = "heatrow-layout-draft/1";
    json["frames"] = draft.frames;
    json["frames_with_modules"] = draft.frames_with_grids;
    json["frames_joined"] = draft.frames_joined;
    json["yaw_turn_deg"] = rounded(draft.yaw_turn_deg, 2);
    json["scale"] = rounded(draft.scale, 4);
    json["tables"] = nlohmann::ordered_json::array();
    for (const DraftedTable& table : draft.tables) {
        json["tables"].push_back({{"table", table.id},
                                  {"modules", table.modules},
                                  {"tiers", table.tiers},
                                  {"columns", table.columns},
                                  {"frames", table.frames},
                                  {"tilt", rounded(table.tilt_deg, 2)},
                                  {"azimuth", rounded(table.azimuth_deg, 2)},
                                  {"doubts", table.doubts}});
    }
    json["modules"] = draft.modules.size();
    json["modules_in_doubt"] = nlohmann::ordered_json::array();
    for (const PlannedModule& module : draft.modules) {
        if (!module.doubt.empty()) {
            json["modules_in_doubt"].push_back({{"module", module.id}, {"doubt", module.doubt}});
        }
    }
    json["notes"] = draft.notes;
    fmt::print("{}\n", json.dump(2, ' ', false, nlohmann::json::error_handler_t::replace));
}

ExitCode LayoutDraftJob::run() {
    require_free_file(out_, overwrite_);
    if (!frame_.name.empty()) {
        options_.frame = frame_;
    }
    ProgressLine line(quiet_);
    options_.progress = [&line](std::string_view stage, std::size_t done, std::size_t total) {
        line.update(stage, done, total);
    };
    const LayoutDraft draft = draft_layout(survey_, options_);
    const ModuleTypeCatalogue types = find_module_types(read_survey_settings(survey_).site.module_types);
    publish_layout(draft.modules, draft.origin, types, {out_, overwrite_, quiet_ || json_});
    if (json_) {
        print_json(draft);
    } else if (!quiet_) {
        print_text(draft);
    }
    return ExitCode::done;
}

}  // namespace

std::unique_ptr<Job> make_layout_draft() {
    return std::make_unique<LayoutDraftJob>();
}

}  // namespace heatrow::cli
