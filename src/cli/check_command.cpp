#include "command.hpp"
#include "heatrow/core/median.hpp"
#include "heatrow/core/quantile.hpp"
#include "heatrow/pipeline/check.hpp"
#include "progress_line.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <map>
#include <string>
#include <vector>

namespace heatrow::cli {
namespace {

// Modules to take again by reason, in the order of the reasons; layout indices.
using Reshoots = std::map<TakeAgain, std::vector<std::size_t>>;

Reshoots find_reshoots(const SurveyCheck& check) {
    Reshoots reshoots;
    for (std::size_t i = 0; i < check.modules.size(); ++i) {
        if (const TakeAgain reason = take_again(check.modules[i]); reason != TakeAgain::no) {
            reshoots[reason].push_back(i);
        }
    }
    return reshoots;
}

std::string advice(const SurveyCheck& check, TakeAgain reason, const std::vector<std::size_t>& modules) {
    switch (reason) {
        case TakeAgain::not_seen:
            return "no frame shows them";
        case TakeAgain::seen_in_part:
            return "cut by the border of every frame that shows them; fly past the end of the rows";
        case TakeAgain::ambiguous:
            return "not told from their neighbours; take in a row end or a gap in the same lane";
        case TakeAgain::too_few_pixels: {
            double least = HUGE_VAL;
            for (const std::size_t module : modules) {
                least = std::min(least, check.modules[module].cell_short_px);
            }
            return fmt::format("{:.1f} pixels across a cell, {:g} needed; fly {:.0f} % lower",
                               least,
                               check.least_cell_px,
                               100.0 * (1.0 - least / check.least_cell_px));
        }
        case TakeAgain::angle_too_shallow:
            return "seen too flat in every frame; look at them more steeply";
        case TakeAgain::smeared:
            return "smeared in every frame; fly slower";
        case TakeAgain::never_all_at_once:
        case TakeAgain::no:
            break;
    }
    return "sharp, near enough and steep enough in different frames only";
}

std::size_t count_placed(const SurveyCheck& check, Placement placement) {
    return static_cast<std::size_t>(
        std::count_if(check.modules.begin(), check.modules.end(), [placement](const ModuleCoverage& module) {
            return module.placement == placement;
        }));
}

// Median over the modules that are seen.
template <class Value>
double usual(const SurveyCheck& check, Value value) {
    std::vector<double> values;
    for (const ModuleCoverage& module : check.modules) {
        if (module.views > 0) {
            values.push_back(value(module));
        }
    }
    return take_median(values);
}

std::string listed(const SurveyCheck& check, const std::vector<std::size_t>& modules) {
    constexpr std::size_t kMost = 8;
    std::string text;
    for (std::size_t i = 0; i < std::min(modules.size(), kMost); ++i) {
        text += (i > 0 ? ", " : "") + check.layout.modules[modules[i]].id;
    }
    return modules.size() > kMost
               ? fmt::format("{} and {} more (all of them with --json)", text, modules.size() - kMost)
               : text;
}

// Empty of a surveyed corner, which is in no frame.
std::string frame_of(const SurveyCheck& check, const ControlResult& control) {
    return control.frame >= 0 ? check.frame_names[static_cast<std::size_t>(control.frame)] : std::string();
}

class CheckCommand : public Command {
  public:
    [[nodiscard]] std::string name() const override { return "check"; }
    [[nodiscard]] std::string summary() const override {
        return "Can I leave the site? Which modules the frames cover, how well, and what to take again";
    }
    [[nodiscard]] std::vector<std::string> examples() const override {
        return {
            "heatrow check survey/              # coverage, placement, conditions and the list to take again",
            "heatrow check survey/ --placement  # only how the frames fit the layout",
            "heatrow check survey/ --placement --hold P3  # and how far control point P3 is off where it is not used",
            "heatrow check survey/ --strict     # exit 3 if something must be taken again",
            "heatrow check survey/ --json       # every module, for a program"};
    }
    void set_up(CLI::App& app) override {
        app.add_option("survey", survey_, "Survey folder, or its survey.toml")->required();
        app.add_flag("--placement", placement_only_, "Only how the frames fit the layout");
        app.add_option(
               "--hold", hold_, "Frame, or name of a control point or known module, whose control is compared only")
            ->type_name("NAME")
            ->allow_extra_args(false);
        app.add_option("--threads", threads_, "Threads; 0 = all cores. The result does not depend on it")
            ->check(CLI::Range(0, 1024))
            ->capture_default_str();
        app.add_flag(
            "--strict",
            strict_,
            "Exit with 3 if a module must be taken again, control was not used or conditions were outside limits");
        app.add_flag("--json", json_, "Print the result as JSON");
        app.add_flag("-q,--quiet", quiet_, "No progress and no notes on stderr");
    }
    ExitCode run() override;

  private:
    void print_placement(const SurveyCheck& check) const;
    void print_control(const SurveyCheck& check) const;
    void print_coverage(const SurveyCheck& check, const Reshoots& reshoots) const;
    void print_json(const SurveyCheck& check) const;

    std::filesystem::path survey_;
    bool placement_only_ = false;
    std::vector<std::string> hold_;
    int threads_ = 0;
    bool strict_ = false;
    bool json_ = false;
    bool quiet_ = false;
};

void CheckCommand::print_placement(const SurveyCheck& check) const {
    fmt::print("frames      {} of {} placed\n", check.frames_placed, check.frames);
    for (const RejectedFrames& frames : check.rejected) {
        // Some reasons name their frame themselves.
        const bool is_named = frames.detail.starts_with(frames.first);
        fmt::print("            {} {}, the first {}{}\n",
                   frames.count,
                   to_string(frames.reason),
                   is_named ? "" : frames.first + ": ",
                   frames.detail);
    }
    if (!check.lock_rms_px.empty()) {
        fmt::print("fit         {:.2f} px left at the edges (median; {:.2f} px in the worst twentieth)\n",
                   quantile_of(check.lock_rms_px, 0.5),
                   quantile_of(check.lock_rms_px, 0.95));
    }
    if (!check.moved_m.empty()) {
        fmt::print("log         {:.1f} m off (median; {:.1f} m in the worst twentieth)\n",
                   quantile_of(check.moved_m, 0.5),
                   quantile_of(check.moved_m, 0.95));
    }
    fmt::print("modules     {} of {} named, {} ambiguous, {} not seen\n",
               count_placed(check, Placement::placed),
               check.modules.size(),
               count_placed(check, Placement::ambiguous),
               count_placed(check, Placement::not_seen));
}

void CheckCommand::print_control(const SurveyCheck& check) const {
    for (const ControlResult& control : check.control) {
        if (control.kind == ControlResult::Kind::module_corner) {
            fmt::print("control     {} at a corner of {} {}: {:.2f} m off\n",
                       control.name,
                       control.detail,
                       to_string(control.use),
                       control.off_m.norm());
            continue;
        }
        const std::string where = fmt::format("{} in {}", control.name, frame_of(check, control));
        if (control.use == ControlResult::Use::refused) {
            fmt::print("control     {} not used: {}\n", where, control.detail);
            continue;
        }
        const std::string residual =
            control.off_px.allFinite()
                ? fmt::format("{:.1f} px, {:.2f} m off", control.off_px.norm(), control.off_m.norm())
                : std::string("not to be compared");
        fmt::print("control     {} {}: {}{}\n",
                   where,
                   to_string(control.use),
                   residual,
                   control.placement == Placement::ambiguous ? ", if the frame is at its most probable place" : "");
    }
}

void CheckCommand::print_coverage(const SurveyCheck& check, const Reshoots& reshoots) const {
    if (count_placed(check, Placement::not_seen) < check.modules.size()) {
        fmt::print("views       {:.0f} a module, {:.1f} pixels across a cell (medians)\n",
                   usual(check, [](const ModuleCoverage& module) { return module.views; }),
                   usual(check, [](const ModuleCoverage& module) { return module.cell_short_px; }));
    }
    for (const auto& [flag, count] : check.frames_outside) {
        fmt::print("conditions  {} of {} placed frames: {}\n", count, check.frames_placed, to_string(flag));
    }
    if (check.frames_outside.empty()) {
        fmt::print("conditions  within the profile's limits\n");
    }
    if (reshoots.empty()) {
        fmt::print("again       nothing\n");
    }
    for (const auto& [reason, modules] : reshoots) {
        fmt::print("again       {} modules: {}\n            {}\n",
                   modules.size(),
                   advice(check, reason, modules),
                   listed(check, modules));
    }
}

void CheckCommand::print_json(const SurveyCheck& check) const {
    nlohmann::ordered_json json;
    json["schema"] = "heatrow-check/1";
    json["survey"] = check.survey_id;
    json["frames"] = check.frames;
    json["frames_placed"] = check.frames_placed;
    json["rejected"] = nlohmann::ordered_json::array();
    for (const RejectedFrames& frames : check.rejected) {
        json["rejected"].push_back({{"reason", to_string(frames.reason)},
                                    {"count", frames.count},
                                    {"first", frames.first},
                                    {"detail", frames.detail}});
    }
    const auto rounded = [](double value) {
        return std::isfinite(value) ? nlohmann::ordered_json(std::round(value * 1000.0) / 1000.0)
                                    : nlohmann::ordered_json();
    };
    json["fit_px"] = {{"median", rounded(quantile_of(check.lock_rms_px, 0.5))},
                      {"p95", rounded(quantile_of(check.lock_rms_px, 0.95))}};
    json["log_off_m"] = {{"median", rounded(quantile_of(check.moved_m, 0.5))},
                         {"p95", rounded(quantile_of(check.moved_m, 0.95))}};
    json["control"] = nlohmann::ordered_json::array();
    for (const ControlResult& control : check.control) {
        json["control"].push_back({{"kind", to_string(control.kind)},
                                   {"name", control.name},
                                   {"frame", frame_of(check, control)},
                                   {"use", to_string(control.use)},
                                   {"placement", to_string(control.placement)},
                                   {"off_px", {rounded(control.off_px.x()), rounded(control.off_px.y())}},
                                   {"off_m", {rounded(control.off_m.x()), rounded(control.off_m.y())}},
                                   {"detail", control.detail}});
    }
    json["conditions"] = nlohmann::ordered_json::object();
    for (const auto& [flag, count] : check.frames_outside) {
        json["conditions"][std::string(to_string(flag))] = count;
    }
    json["modules"] = nlohmann::ordered_json::array();
    for (std::size_t i = 0; i < check.modules.size(); ++i) {
        const ModuleCoverage& module = check.modules[i];
        json["modules"].push_back({{"module", check.layout.modules[i].id},
                                   {"placement", to_string(module.placement)},
                                   {"views", module.views},
                                   {"good_views", module.good_views},
                                   {"px_per_cell", rounded(module.cell_short_px)},
                                   {"take_again", to_string(take_again(module))}});
    }
    json["notes"] = check.notes;
    fmt::print("{}\n", json.dump(2));
}

ExitCode CheckCommand::run() {
    ProgressLine line(quiet_);
    CheckOptions options;
    options.threads = threads_;
    options.hold = hold_;
    options.progress = [&line](std::string_view stage, std::size_t done, std::size_t total) {
        line.update(stage, done, total);
    };
    const SurveyCheck check = check_survey(survey_, options);
    if (!quiet_) {
        for (const std::string& note : check.notes) {
            fmt::print(stderr, "note: {}\n", note);
        }
    }
    const Reshoots reshoots = find_reshoots(check);
    if (json_) {
        print_json(check);
    } else {
        print_placement(check);
        print_control(check);
        if (!placement_only_) {
            print_coverage(check, reshoots);
        }
    }
    const bool is_placed = count_placed(check, Placement::placed) == check.modules.size();
    const bool is_refused = std::any_of(check.control.begin(), check.control.end(), [](const ControlResult& control) {
        return control.use == ControlResult::Use::refused;
    });
    const bool within = is_refused        ? false
                        : placement_only_ ? is_placed
                                          : reshoots.empty() && check.frames_outside.empty();
    return strict_ && !within ? ExitCode::outside_limits : ExitCode::done;
}

}  // namespace

std::unique_ptr<Command> make_check_command() {
    return std::make_unique<CheckCommand>();
}

}  // namespace heatrow::cli
