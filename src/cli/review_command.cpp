#include "heatrow/core/error.hpp"
#include "heatrow/io/result_remaker.hpp"
#include "heatrow/io/survey_gpkg_review.hpp"
#include "review_job.hpp"
#include "version.hpp"

#include <fmt/format.h>

namespace heatrow::cli {
namespace {

class ReviewCommand : public CommandOfJobs {
  public:
    ReviewCommand()
        : CommandOfJobs(
              jobs_of(make_review_apply(), make_review_show(), make_review_carry(), make_review_reinspect())) {}
    [[nodiscard]] std::string name() const override { return "review"; }
    [[nodiscard]] std::string summary() const override {
        return "What did the qualified person decide? Merges verdicts and comments, keeps the log, draws again";
    }
    [[nodiscard]] std::vector<std::string> examples() const override {
        return {"heatrow review apply result/ field.decisions.json --overwrite   # saved from report.html",
                "heatrow review apply result/ findings.xlsx --reviewer 'A. Name' --reviewed 2026-06-20T10:00:00Z "
                "--out reviewed/",
                "heatrow review show result/                                     # verdicts, agreement by pattern",
                "heatrow review carry earlier/ result/ --overwrite               # an earlier log for a new run",
                "heatrow review reinspect june/ september/ --reviewer 'A. Name' --reviewed 2026-09-14T10:00:00Z "
                "--overwrite"};
    }
};

}  // namespace

void ReviewOutput::declare(CLI::App& app) {
    app.add_option("-o,--out", out, "Write to this folder; left out: the result folder itself");
    app.add_flag("--overwrite", overwrite, "Replace what is there, once the new one is complete");
}

UtcTime reviewed_time(const std::string& text) {
    const auto parsed = parse_iso8601(text);
    if (!parsed || !parsed->utc_offset) {
        throw Error(ErrorKind::usage,
                    "cannot read the time",
                    "--reviewed",
                    "\"" + text + "\" is no time with a zone",
                    "Write it like 2026-06-20T10:00:00Z");
    }
    return UtcTime(parsed->written.time_since_epoch()) - *parsed->utc_offset;
}

void write_reviewed(const std::filesystem::path& result,
                    const ReviewOutput& output,
                    const SurveyRecord& record,
                    const std::vector<ReviewEntry>& entries) {
    RemakeOptions options;
    options.from = result;
    options.to = output.out.empty() ? record_file(result).parent_path() : output.out;
    options.overwrite = output.overwrite;
    options.renderings = renderings();
    options.command = "review";
    options.program_version = kVersion;
    options.change = [&](const std::filesystem::path& gpkg) {
        std::vector<ReviewEntry> log = record.review_log;
        log.insert(log.end(), entries.begin(), entries.end());
        append_review_log(gpkg, log, entries.size());
    };
    for (const std::string& note : remake_result(options).notes) {
        fmt::print(stderr, "note: {}\n", note);
    }
}

std::unique_ptr<Command> make_review_command() {
    return std::make_unique<ReviewCommand>();
}

}  // namespace heatrow::cli
