#include "heatrow/core/error.hpp"
#include "heatrow/io/decisions_reader.hpp"
#include "heatrow/io/output_folder.hpp"
#include "heatrow/io/result_remaker.hpp"
#include "heatrow/io/standing_review.hpp"
#include "heatrow/io/survey_gpkg_reader.hpp"
#include "heatrow/record/review_merge.hpp"
#include "review_job.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>

namespace heatrow::cli {
namespace {

class ReviewApply : public Job {
  public:
    [[nodiscard]] std::string name() const override { return "apply"; }
    [[nodiscard]] std::string summary() const override {
        return "Takes decisions into the record's review log, by finding id, and draws everything again";
    }
    [[nodiscard]] std::string footer() const override {
        return "Decisions: the file that report.html saves (.json), a table with the columns finding, verdict, "
               "pattern,\n"
               "comment, reviewer, reviewed_utc (.csv, .xlsx), or an edited survey.gpkg; docs/formats/decisions.md.\n"
               "Unknown and repeated ids are refused row by row, and then nothing is changed.\n"
               "Examples:\n"
               "  heatrow review apply result/ field.decisions.json --overwrite\n"
               "  heatrow review apply result/ findings.xlsx --reviewer 'A. Name' --reviewed 2026-06-20T10:00:00Z "
               "--out reviewed/\n";
    }
    void set_up(CLI::App& app) override {
        app.add_option("result", result_, "Result folder of 'analyse'")->required();
        app.add_option("decisions", files_, "Files of decisions, taken in this order")->required();
        app.add_option("--reviewer", reviewer_, "Reviewer of rows that name none");
        app.add_option("--reviewed", reviewed_, "Time of rows that have none, e.g. 2026-06-20T10:00:00Z");
        output_.declare(app);
        app.add_flag("--json", json_, "Print what was done as JSON");
    }
    ExitCode run() override;

  private:
    [[nodiscard]] DecisionDefaults defaults() const;
    void print(const MergedDecisions& merged) const;

    std::filesystem::path result_;
    std::vector<std::filesystem::path> files_;
    std::string reviewer_;
    std::string reviewed_;
    ReviewOutput output_;
    bool json_ = false;
};

DecisionDefaults ReviewApply::defaults() const {
    DecisionDefaults defaults{reviewer_, std::nullopt};
    if (!reviewed_.empty()) {
        defaults.time = reviewed_time(reviewed_);
    }
    return defaults;
}

// What the decisions do to the classes of their findings.
void set_classes(const SurveyRecord& record, std::vector<ReviewEntry>& entries) {
    for (ReviewEntry& entry : entries) {
        const auto finding = std::find_if(record.findings.begin(), record.findings.end(), [&entry](const Finding& one) {
            return one.id == entry.finding;
        });
        entry.class_before = class_by(record, *finding, entry.before);
        entry.class_after = class_by(record, *finding, entry.after);
    }
}

ExitCode ReviewApply::run() {
    const DecisionDefaults given = defaults();
    const std::filesystem::path gpkg = record_file(result_);
    require_free_output(output_.out.empty() ? gpkg.parent_path() : output_.out, output_.overwrite);
    const SurveyRecord record = read_survey_gpkg(gpkg);
    std::vector<DecisionFile> files;
    for (const std::filesystem::path& file : files_) {
        files.push_back(read_decisions(file, record.survey_id));
    }
    MergedDecisions merged = merge_decisions(record, files, given);
    set_classes(record, merged.entries);
    if (!merged.problems.empty()) {
        for (const std::string& problem : merged.problems) {
            fmt::print(stderr, "refused: {}\n", problem);
        }
        throw Error(ErrorKind::input,
                    "cannot take the decisions",
                    result_.string(),
                    fmt::format("{} of their rows are refused", merged.problems.size()),
                    "Correct them and apply the files again; nothing was changed");
    }
    write_reviewed(result_, output_, record, merged.entries);
    print(merged);
    return ExitCode::done;
}

void ReviewApply::print(const MergedDecisions& merged) const {
    if (!json_) {
        fmt::print("{} decisions taken, {} rows say what holds already.\n", merged.entries.size(), merged.unchanged);
        return;
    }
    nlohmann::ordered_json json;
    json["schema"] = "heatrow-review-apply/1";
    json["taken"] = merged.entries.size();
    json["unchanged"] = merged.unchanged;
    json["findings"] = nlohmann::ordered_json::array();
    for (const ReviewEntry& entry : merged.entries) {
        json["findings"].push_back({{"finding", entry.finding},
                                    {"before", to_string(entry.before.verdict)},
                                    {"after", to_string(entry.after.verdict)},
                                    {"class_before", static_cast<int>(entry.class_before)},
                                    {"class_after", static_cast<int>(entry.class_after)},
                                    {"work_status", to_string(entry.after.work)}});
    }
    fmt::print("{}\n", json.dump(2));
}

}  // namespace

std::unique_ptr<Job> make_review_apply() {
    return std::make_unique<ReviewApply>();
}

}  // namespace heatrow::cli
