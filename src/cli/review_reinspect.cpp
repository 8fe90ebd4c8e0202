#include "heatrow/core/error.hpp"
#include "heatrow/io/output_folder.hpp"
#include "heatrow/io/result_remaker.hpp"
#include "heatrow/io/survey_gpkg_reader.hpp"
#include "heatrow/record/review_merge.hpp"
#include "review_job.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <set>

namespace heatrow::cli {
namespace {

class ReviewReinspect : public Job {
  public:
    [[nodiscard]] std::string name() const override { return "reinspect"; }
    [[nodiscard]] std::string summary() const override {
        return "What does a later survey say of the repairs? Verified, or still there";
    }
    [[nodiscard]] std::string footer() const override {
        return "Findings of the earlier result whose work stands at 'repaired' become 'verified' in the later one "
               "where "
               "their\nmodule was assessed without them, 'still_there' where they are found again. All else is left "
               "for "
               "somebody to\nlook at, and said. The log of findings with work goes over to the later result.\n"
               "Examples:\n"
               "  heatrow review reinspect june/result september/result --reviewer 'A. Name' --reviewed "
               "2026-09-14T10:00:00Z --overwrite\n";
    }
    void set_up(CLI::App& app) override {
        app.add_option("earlier", earlier_, "Result folder of the earlier survey, with its review log")->required();
        app.add_option("later", later_, "Result folder of the later survey of the same plant")->required();
        app.add_option("--reviewer", reviewer_, "Who answers for it")->required();
        app.add_option("--reviewed", reviewed_, "When, e.g. 2026-09-14T10:00:00Z")->required();
        output_.declare(app);
        app.add_flag("--json", json_, "Print what was done as JSON");
    }
    ExitCode run() override;

  private:
    void print(const Reinspection& seen, std::size_t carried) const;

    std::filesystem::path earlier_;
    std::filesystem::path later_;
    std::string reviewer_;
    std::string reviewed_;
    ReviewOutput output_;
    bool json_ = false;
};

void require_same_plant(const SurveyRecord& earlier, const SurveyRecord& later, const std::filesystem::path& file) {
    std::set<std::string> modules;
    for (const Module& module : earlier.layout.modules) {
        modules.insert(module.id);
    }
    if (std::none_of(later.layout.modules.begin(), later.layout.modules.end(), [&modules](const Module& module) {
            return modules.contains(module.id);
        })) {
        throw Error(ErrorKind::input,
                    "cannot compare the surveys",
                    file.string(),
                    "its layout shares no module id with the later one",
                    "Give two results of the same plant, with the same ids");
    }
}

ExitCode ReviewReinspect::run() {
    const UtcTime time = reviewed_time(reviewed_);
    const std::filesystem::path gpkg = record_file(later_);
    require_free_output(output_.out.empty() ? gpkg.parent_path() : output_.out, output_.overwrite);
    const SurveyRecord earlier = read_survey_gpkg(record_file(earlier_));
    const SurveyRecord before = read_survey_gpkg(gpkg);
    require_same_plant(earlier, before, earlier_);
    std::vector<ReviewEntry> entries = carry_review(work_log(earlier), before).entries;
    const std::size_t carried = entries.size();
    SurveyRecord later = before;
    add_to_log(later, entries);
    const Reinspection seen = reinspect(earlier, later, reviewer_, time, "survey " + later.survey_id);
    entries.insert(entries.end(), seen.entries.begin(), seen.entries.end());
    write_reviewed(later_, output_, before, entries);
    print(seen, carried);
    return ExitCode::done;
}

void ReviewReinspect::print(const Reinspection& seen, std::size_t carried) const {
    const auto verified = std::count_if(seen.entries.begin(), seen.entries.end(), [](const ReviewEntry& entry) {
        return entry.after.work == WorkStatus::verified;
    });
    if (json_) {
        nlohmann::ordered_json json;
        json["schema"] = "heatrow-review-reinspect/1";
        json["carried"] = carried;
        json["findings"] = nlohmann::ordered_json::array();
        for (const ReviewEntry& entry : seen.entries) {
            json["findings"].push_back({{"finding", entry.finding}, {"work_status", to_string(entry.after.work)}});
        }
        json["undecided"] = seen.undecided;
        fmt::print("{}\n", json.dump(2));
        return;
    }
    fmt::print("{} repairs verified, {} still there, {} undecided; {} log rows carried over.\n",
               verified,
               static_cast<std::ptrdiff_t>(seen.entries.size()) - verified,
               seen.undecided.size(),
               carried);
    for (const ReviewEntry& entry : seen.entries) {
        fmt::print("{}: {}\n", to_string(entry.after.work), entry.finding);
    }
    for (const std::string& sentence : seen.undecided) {
        fmt::print("undecided: {}\n", sentence);
    }
}

}  // namespace

std::unique_ptr<Job> make_review_reinspect() {
    return std::make_unique<ReviewReinspect>();
}

}  // namespace heatrow::cli
