#include "heatrow/core/error.hpp"
#include "heatrow/io/output_folder.hpp"
#include "heatrow/io/result_remaker.hpp"
#include "heatrow/io/survey_gpkg_reader.hpp"
#include "heatrow/io/survey_gpkg_review.hpp"
#include "heatrow/record/review_merge.hpp"
#include "review_job.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

namespace heatrow::cli {
namespace {

class ReviewCarry : public Job {
  public:
    [[nodiscard]] std::string name() const override { return "carry"; }
    [[nodiscard]] std::string summary() const override {
        return "Takes the review log of an earlier result of the same survey over into a new one";
    }
    [[nodiscard]] std::string footer() const override {
        return "'analyse --overwrite' does this by itself for the result that it replaces. Says which findings with "
               "decisions\nno longer exist; their log rows are kept.\n"
               "Examples:\n"
               "  heatrow review carry earlier/ result/ --overwrite\n";
    }
    void set_up(CLI::App& app) override {
        app.add_option("earlier", earlier_, "Result folder with the review log")->required();
        app.add_option("result", result_, "Result folder that gets it")->required();
        output_.declare(app);
        app.add_flag("--json", json_, "Print what was done as JSON");
    }
    ExitCode run() override;

  private:
    std::filesystem::path earlier_;
    std::filesystem::path result_;
    ReviewOutput output_;
    bool json_ = false;
};

ExitCode ReviewCarry::run() {
    const std::filesystem::path gpkg = record_file(result_);
    require_free_output(output_.out.empty() ? gpkg.parent_path() : output_.out, output_.overwrite);
    const SurveyRecord record = read_survey_gpkg(gpkg);
    const KeptReview kept = read_review_log(record_file(earlier_));
    if (kept.survey != record.survey_id) {
        throw Error(ErrorKind::input,
                    "cannot carry the review over",
                    earlier_.string(),
                    fmt::format("it is of survey \"{}\", the result of \"{}\"", kept.survey, record.survey_id),
                    "Give an earlier result of the same survey");
    }
    const CarriedReview carried = carry_review(kept.log, record);
    write_reviewed(result_, output_, record, carried.entries);
    if (json_) {
        nlohmann::ordered_json json;
        json["schema"] = "heatrow-review-carry/1";
        json["entries"] = carried.entries.size();
        json["found_again"] = carried.found_again;
        json["gone"] = carried.gone;
        fmt::print("{}\n", json.dump(2));
        return ExitCode::done;
    }
    fmt::print("{} log rows carried over. {} findings with decisions are there again, {} are not.\n",
               carried.entries.size(),
               carried.found_again,
               carried.gone.size());
    for (const std::string& id : carried.gone) {
        fmt::print("no longer found: {}\n", id);
    }
    return ExitCode::done;
}

}  // namespace

std::unique_ptr<Job> make_review_carry() {
    return std::make_unique<ReviewCarry>();
}

}  // namespace heatrow::cli
