#include "command.hpp"
#include "heatrow/io/data_folder.hpp"
#include "heatrow/io/joint_profile_reader.hpp"
#include "heatrow/io/output_file.hpp"
#include "heatrow/io/profile_reader.hpp"
#include "joint_output.hpp"
#include "joint_report.hpp"
#include "joint_survey.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace heatrow::cli {
namespace {

namespace fs = std::filesystem;

class JointsCommand : public Command {
  public:
    [[nodiscard]] std::string name() const override { return "joints"; }
    [[nodiscard]] std::string summary() const override {
        return "Which electrical joints are hot? Rises scaled to rated current, compared with siblings";
    }
    [[nodiscard]] std::vector<std::string> examples() const override {
        return {"heatrow joints board.csv --air 31                                # typed temperatures",
                "heatrow joints board.csv --scale 0.04 --unit K --reflected 30    # areas of thermograms",
                "heatrow joints board.csv --profile joints-maintenance-table      # another table of limits",
                "heatrow joints board.csv --out result.csv --report result.html   # files to hand over"};
    }
    void set_up(CLI::App& app) override {
        app.add_option("list", list_, "List of joints as CSV (docs/formats/joints.md)")->required();
        app.add_option("--profile", profile_, "Limits and verdicts: joints-iec-ts-62446-3, joints-maintenance-table")
            ->capture_default_str();
        app.add_option("--reflected", defaults_.reflected_c, "Reflected temperature where the list gives none, degC");
        frame_options_.declare(app);
        app.add_option("--out", out_, "Write the results as CSV");
        app.add_option("--report", report_, "Write a page to read and print, HTML");
        app.add_flag("--overwrite", overwrite_, "Replace files that exist");
        app.add_flag("--json", json_, "Print JSON");
        app.add_flag("--strict", strict_, "Exit 3 where a joint could not be judged or is of class 3");
    }
    ExitCode run() override;

  private:
    fs::path list_;
    std::string profile_ = "joints-iec-ts-62446-3";
    ThermogramOptions frame_options_{"cannot judge the joints"};
    JointDefaults defaults_;
    std::optional<fs::path> out_;
    std::optional<fs::path> report_;
    bool overwrite_ = false;
    bool json_ = false;
    bool strict_ = false;
};

ExitCode JointsCommand::run() {
    for (const auto& file : {out_, report_}) {
        if (file) {
            require_free_file(*file, overwrite_);
        }
    }
    const auto require_degrees = [this](std::string_view option, std::optional<double> value, double highest) {
        if (value && !(*value >= kLowestC && *value <= highest)) {
            frame_options_.refuse(option,
                                  fmt::format("{:g} cannot be", *value),
                                  fmt::format("Give degC, from {:g} to {:g}", kLowestC, highest));
        }
    };
    require_degrees("--air", frame_options_.air_c(), kHighestAirC);
    require_degrees("--reflected", defaults_.reflected_c, kHighestSurfaceC);
    const JointProfile profile = read_joint_profile(find_profile(profile_, list_.parent_path()));
    const Profile general = read_profile(find_profile("field-practice", {}));
    defaults_.air_c = frame_options_.air_c();
    const JointSurvey survey = survey_joints(read_joint_list(list_), profile, defaults_, frame_options_, general);
    if (out_) {
        publish_file(*out_, joints_as_csv(survey), overwrite_);
    }
    if (report_) {
        publish_file(*report_, joints_as_html(survey), overwrite_);
    }
    fmt::print("{}", json_ ? joints_as_json(survey) : joints_as_text(survey));
    const bool outside = std::any_of(survey.results.begin(), survey.results.end(), [](const JointResult& result) {
        return !result.verdict || result.verdict->abnormality == AbnormalityClass::safety_relevant;
    });
    return strict_ && outside ? ExitCode::outside_limits : ExitCode::done;
}

}  // namespace

std::unique_ptr<Command> make_joints_command() {
    return std::make_unique<JointsCommand>();
}

}  // namespace heatrow::cli
