#include "command.hpp"
#include "heatrow/core/error.hpp"
#include "heatrow/io/output_folder.hpp"
#include "heatrow/io/result_writer.hpp"
#include "heatrow/io/survey_gpkg_review.hpp"
#include "heatrow/pipeline/analyse.hpp"
#include "heatrow/pipeline/threads.hpp"
#include "heatrow/record/review_merge.hpp"
#include "progress_line.hpp"
#include "version.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <filesystem>
#include <string>
#include <utility>
#include <vector>

namespace heatrow::cli {
namespace {

// What the user wants to know first, for people and for programs. The record itself is gone once it is written.
struct Summary {
    std::string survey;
    std::vector<std::string> notes;
    std::size_t frames = 0;
    std::size_t frames_used = 0;
    std::size_t modules = 0;
    std::size_t modules_assessed = 0;
    std::size_t findings = 0;
    std::size_t class_2 = 0;
    std::size_t class_3 = 0;
    std::size_t rejected = 0;
};

Summary summarise(const SurveyRecord& record) {
    Summary summary;
    summary.survey = record.survey_id;
    summary.notes = record.notes;
    summary.findings = record.findings.size();
    summary.frames = record.frames.size();
    summary.modules = record.modules.size();
    for (const FrameResult& frame : record.frames) {
        summary.frames_used += frame.scored ? 1U : 0U;
    }
    for (const ModuleResult& module : record.modules) {
        summary.modules_assessed += module.assessed ? 1U : 0U;
    }
    for (const Finding& finding : record.findings) {
        if (finding.verdict == Verdict::rejected) {  // by a review that was carried over
            ++summary.rejected;
            continue;
        }
        summary.class_2 += finding.abnormality == AbnormalityClass::thermal ? 1U : 0U;
        summary.class_3 += finding.abnormality == AbnormalityClass::safety_relevant ? 1U : 0U;
    }
    return summary;
}

void print_records(const KeptRecords& records) {
    if (!records.problem.empty()) {
        fmt::print(stderr, "slot records are not kept in {}: {}\n", records.file.string(), records.problem);
    } else if (records.frames > 0) {
        fmt::print(stderr,
                   "{} of {} frames were measured in an earlier run: {}\n",
                   records.frames,
                   records.of_frames,
                   records.file.string());
    }
}

class AnalyseCommand : public Command {
  public:
    [[nodiscard]] std::string name() const override { return "analyse"; }
    [[nodiscard]] std::string summary() const override {
        return "What is wrong, where, how sure? The whole run: frames to defect maps and records";
    }
    [[nodiscard]] std::vector<std::string> examples() const override {
        return {
            "heatrow analyse survey/ --out result/              # the whole run",
            "heatrow analyse survey/ --out result/ --overwrite  # again, replacing the earlier result",
            "heatrow analyse survey/ --out result/ --strict     # exit 3 if limits were missed or coverage is "
            "incomplete",
            "heatrow analyse survey/ --out result/ --json       # the summary as JSON on stdout",
            "heatrow analyse survey/ --out result/ --no-cache   # keep nothing that would save a later run its time"};
    }
    void set_up(CLI::App& app) override {
        app.add_option("survey", survey_, "Survey folder, or its survey.toml")->required();
        app.add_option("-o,--out", out_, "Result folder; must not exist unless --overwrite is given")->required();
        app.add_flag("--overwrite", overwrite_, "Replace an earlier result");
        auto* cache = app.add_option("--cache",
                                     cache_,
                                     "Folder that keeps what was measured in frames: a run that was stopped goes on, "
                                     "and one with another profile looks at no frame again. heatrow-cache beside the "
                                     "result folder unless given");
        app.add_flag("--no-cache", no_cache_, "Keep nothing, and measure every frame")->excludes(cache);
        app.add_option(
               "--hold", hold_, "Frame, or name of a control point or known module, whose control is compared only")
            ->type_name("NAME")
            ->allow_extra_args(false);
        app.add_option("--threads", threads_, "Threads; 0 = all cores. The result does not depend on it")
            ->check(CLI::Range(0, 1024))
            ->capture_default_str();
        app.add_flag("--strict",
                     strict_,
                     "Exit with 3 if conditions were outside the profile's limits or modules are not assessed");
        app.add_flag("--json", json_, "Print the summary as JSON");
        app.add_flag("-q,--quiet", quiet_, "No progress and no notes on stderr");
    }
    ExitCode run() override;

  private:
    void carry_earlier_review(SurveyRecord& record) const;
    void print_summary(const Summary& summary, const AnalyseResult& result) const;

    std::filesystem::path survey_;
    std::filesystem::path out_;
    bool overwrite_ = false;
    std::filesystem::path cache_;
    bool no_cache_ = false;
    std::vector<std::string> hold_;
    int threads_ = 0;
    bool strict_ = false;
    bool json_ = false;
    bool quiet_ = false;
};

ExitCode AnalyseCommand::run() {
    // Refuse at once, not after minutes of work.
    require_free_output(out_, overwrite_);
    ProgressLine line(quiet_);
    AnalyseOptions options;
    options.threads = threads_;
    options.hold = hold_;
    options.program_version = kVersion;
    options.progress = [&line](std::string_view stage, std::size_t done, std::size_t total) {
        line.update(stage, done, total);
    };
    if (!no_cache_) {
        options.cache =
            cache_.empty()
                ? std::filesystem::absolute(out_ / "").lexically_normal().parent_path().parent_path() / "heatrow-cache"
                : cache_;
    }
    AnalyseResult result = analyse(survey_, options);
    carry_earlier_review(result.record);
    const Summary summary = summarise(result.record);
    const std::vector<std::string> remarks = write_results(
        std::move(result.record), result.facts, result.tables, result.pictures, out_, overwrite_, on_threads(threads_));

    if (!quiet_) {
        print_records(result.records);
        for (const std::string& note : summary.notes) {
            fmt::print(stderr, "note: {}\n", note);
        }
        for (const std::string& remark : remarks) {
            fmt::print(stderr, "note: {}\n", remark);
        }
        for (const std::string& breach : result.outside_limits) {
            fmt::print(stderr, "outside limits: {}\n", breach);
        }
    }
    print_summary(summary, result);
    return strict_ && !result.outside_limits.empty() ? ExitCode::outside_limits : ExitCode::done;
}

// What was decided on the result that is about to be replaced holds for the new one, finding by finding.
void AnalyseCommand::carry_earlier_review(SurveyRecord& record) const {
    const std::filesystem::path earlier = out_ / "survey.gpkg";
    if (!std::filesystem::is_regular_file(earlier)) {
        return;
    }
    const KeptReview kept = read_review_log(earlier);
    if (kept.log.empty() || kept.survey != record.survey_id) {
        return;
    }
    const CarriedReview carried = carry_review(kept.log, record);
    add_to_log(record, carried.entries);
    record.notes.push_back(
        fmt::format("The review of the earlier result was carried over: {} findings with decisions are "
                    "there again, {} are not{}{}.",
                    carried.found_again,
                    carried.gone.size(),
                    carried.gone.empty() ? "" : ": ",
                    fmt::join(carried.gone, ", ")));
}

void AnalyseCommand::print_summary(const Summary& summary, const AnalyseResult& result) const {
    if (json_) {
        nlohmann::ordered_json json;
        json["schema"] = "heatrow-analyse/1";
        json["survey"] = summary.survey;
        json["out"] = out_.string();
        json["frames"] = summary.frames;
        json["frames_scored"] = summary.frames_used;
        json["modules"] = summary.modules;
        json["modules_assessed"] = summary.modules_assessed;
        json["findings"] = summary.findings;
        json["findings_class_2"] = summary.class_2;
        json["findings_class_3"] = summary.class_3;
        json["findings_rejected"] = summary.rejected;
        json["outside_limits"] = result.outside_limits;
        json["frames_measured_before"] = result.records.frames;
        json["notes"] = summary.notes;
        fmt::print("{}\n", json.dump(2));
        return;
    }
    fmt::print("{} of {} frames scored, {} of {} modules assessed.\n",
               summary.frames_used,
               summary.frames,
               summary.modules_assessed,
               summary.modules);
    fmt::print("{} findings: {} of class 3, {} of class 2{}.\n",
               summary.findings,
               summary.class_3,
               summary.class_2,
               summary.rejected > 0 ? fmt::format("; {} rejected in an earlier review", summary.rejected) : "");
    fmt::print("Result: {}\n", (out_ / "report.html").string());
}

}  // namespace

std::unique_ptr<Command> make_analyse_command() {
    return std::make_unique<AnalyseCommand>();
}

}  // namespace heatrow::cli
