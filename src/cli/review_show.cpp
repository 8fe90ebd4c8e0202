#include "heatrow/io/result_remaker.hpp"
#include "heatrow/io/survey_gpkg_reader.hpp"
#include "heatrow/record/review_statistics.hpp"
#include "review_job.hpp"
#include "rounded_json.hpp"

#include <fmt/format.h>

namespace heatrow::cli {
namespace {

nlohmann::ordered_json as_json(const AgreementRow& row) {
    return {{"findings", row.findings},
            {"confirmed", row.confirmed},
            {"relabelled", row.relabelled},
            {"rejected", row.rejected},
            {"open", row.open},
            {"agreement", rounded(row.agreement.value, 4)},
            {"agreement_low", rounded(row.agreement.low, 4)},
            {"agreement_high", rounded(row.agreement.high, 4)}};
}

nlohmann::ordered_json as_json(const Decision& decision) {
    return {{"verdict", to_string(decision.verdict)},
            {"pattern", decision.pattern ? to_string(*decision.pattern) : std::string_view{}},
            {"comment", decision.comment},
            {"work_status", to_string(decision.work)}};
}

void print_row(std::string_view name, const AgreementRow& row) {
    const std::string share = row.agreement.count == 0 ? std::string("–")
                                                       : fmt::format("{:.0f} % ({:.0f} to {:.0f})",
                                                                     100.0 * row.agreement.value,
                                                                     100.0 * row.agreement.low,
                                                                     100.0 * row.agreement.high);
    fmt::print("{:<28}{:>9}{:>11}{:>12}{:>10}{:>6}  {}\n",
               name,
               row.findings,
               row.confirmed,
               row.relabelled,
               row.rejected,
               row.open,
               share);
}

class ReviewShow : public Job {
  public:
    [[nodiscard]] std::string name() const override { return "show"; }
    [[nodiscard]] std::string summary() const override {
        return "Verdicts by pattern, how far reviewer and program agree, and the log";
    }
    [[nodiscard]] std::string footer() const override {
        return "Agreement: findings confirmed with the program's pattern, of those decided, with Wilson's 95 % "
               "interval.\n"
               "Examples:\n"
               "  heatrow review show result/\n"
               "  heatrow review show result/ --json\n";
    }
    void set_up(CLI::App& app) override {
        app.add_option("result", result_, "Result folder, or its survey.gpkg")->required();
        app.add_flag("--json", json_, "Print it as JSON");
    }
    ExitCode run() override;

  private:
    static void print_json(const SurveyRecord& record, const Agreement& agreement);
    static void print_text(const SurveyRecord& record, const Agreement& agreement);

    std::filesystem::path result_;
    bool json_ = false;
};

ExitCode ReviewShow::run() {
    const SurveyRecord record = read_survey_gpkg(record_file(result_));
    const Agreement agreement = agreement_of(record);
    json_ ? print_json(record, agreement) : print_text(record, agreement);
    return ExitCode::done;
}

void ReviewShow::print_json(const SurveyRecord& record, const Agreement& agreement) {
    nlohmann::ordered_json json;
    json["schema"] = "heatrow-review-show/1";
    json["survey"] = record.survey_id;
    json["patterns"] = nlohmann::ordered_json::object();
    for (const AgreementRow& row : agreement.rows) {
        json["patterns"][std::string(to_string(row.pattern))] = as_json(row);
    }
    json["all"] = as_json(agreement.all);
    json["log"] = nlohmann::ordered_json::array();
    for (const ReviewEntry& entry : record.review_log) {
        json["log"].push_back({{"finding", entry.finding},
                               {"reviewed_utc", to_iso8601(entry.time)},
                               {"reviewer", entry.reviewer},
                               {"before", as_json(entry.before)},
                               {"after", as_json(entry.after)},
                               {"class_before", static_cast<int>(entry.class_before)},
                               {"class_after", static_cast<int>(entry.class_after)},
                               {"source", entry.source}});
    }
    fmt::print("{}\n", json.dump(2));
}

void ReviewShow::print_text(const SurveyRecord& record, const Agreement& agreement) {
    fmt::print("{:<28}{:>9}{:>11}{:>12}{:>10}{:>6}  {}\n",
               "pattern",
               "findings",
               "confirmed",
               "relabelled",
               "rejected",
               "open",
               "agreement (95 %)");
    for (const AgreementRow& row : agreement.rows) {
        print_row(to_string(row.pattern), row);
    }
    print_row("all", agreement.all);
    for (const ReviewEntry& entry : record.review_log) {
        std::string changes;
        for (const ReviewChange& change : changes_of(entry)) {
            changes +=
                fmt::format("{}{} {} -> {}", changes.empty() ? "" : "; ", change.what, change.before, change.after);
        }
        fmt::print("{}  {}  {}: {}\n", to_iso8601(entry.time), entry.reviewer, entry.finding, changes);
    }
}

}  // namespace

std::unique_ptr<Job> make_review_show() {
    return std::make_unique<ReviewShow>();
}

}  // namespace heatrow::cli
