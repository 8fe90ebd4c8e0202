#include "command.hpp"
#include "compare_report.hpp"
#include "compare_survey_set.hpp"
#include "heatrow/core/error.hpp"
#include "heatrow/io/comparison_folder.hpp"
#include "heatrow/io/comparison_profile_reader.hpp"
#include "heatrow/io/data_folder.hpp"
#include "heatrow/io/output_folder.hpp"
#include "version.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace heatrow::cli {
namespace {

namespace fs = std::filesystem;

class CompareCommand : public Command {
  public:
    [[nodiscard]] std::string name() const override { return "compare"; }
    [[nodiscard]] std::string summary() const override {
        return "What changed since last time? Two or more surveys of one site";
    }
    [[nodiscard]] std::vector<std::string> examples() const override {
        return {
            "heatrow compare 2026/result 2027/result --out changes/         # page, tables and map of what changed",
            "heatrow compare 2026/result 2027/result 2028/result --out changes/   # histories and trends over three",
            "heatrow compare 2026/result 2027/result                        # to read here, nothing written",
            "heatrow compare 2026/result 2027/result --json --strict        # for a program; 3 where something got "
            "worse"};
    }
    void set_up(CLI::App& app) override {
        app.add_option("surveys", surveys_, "Result folders of 'analyse', or their survey.gpkg; any order")->required();
        app.add_option("-o,--out", out_, "Folder to make: changes.html, changes.csv, changes.gpkg and others");
        app.add_option("--profile", profile_, "Limits: the id of a profile, or a file")->capture_default_str();
        app.add_flag("--overwrite", overwrite_, "Replace what is there, once the new one is complete");
        app.add_flag("--json", json_, "Print JSON");
        app.add_flag("--strict",
                     strict_,
                     "Exit 3 where a part got worse since the survey before, or modules could not be compared");
    }
    ExitCode run() override;

  private:
    std::vector<fs::path> surveys_;
    fs::path out_;
    std::string profile_ = "season-changes";
    bool overwrite_ = false;
    bool json_ = false;
    bool strict_ = false;
};

fs::path profile_file(const std::string& given) {
    return fs::path(given).extension() == ".toml" ? fs::path(given) : find_profile(given, {});
}

ExitCode CompareCommand::run() {
    if (surveys_.size() < 2) {
        throw Error(ErrorKind::usage,
                    "cannot compare the surveys",
                    surveys_.front().string(),
                    "it is the only one",
                    "Give two or more results of 'heatrow analyse'");
    }
    if (!out_.empty()) {
        require_free_output(out_, overwrite_);
    }
    const ComparisonProfile profile = read_comparison_profile(profile_file(profile_));
    const SurveySet set = read_surveys(surveys_);
    if (set.reordered) {
        fmt::print(stderr, "note: by the times of their frames the order is {}\n", fmt::join(set.names, ", "));
    }
    const Comparison comparison = compare_surveys(set.records, set.names, profile);
    if (!out_.empty()) {
        write_comparison(comparison,
                         set.records,
                         {.out = out_,
                          .overwrite = overwrite_,
                          .program_version = kVersion,
                          .inputs = set.files,
                          .profile = profile.id + " " + profile.version,
                          .page = comparison_as_html(comparison, set, profile)});
    }
    fmt::print("{}", json_ ? comparison_as_json(comparison, set, profile) : comparison_as_text(comparison, set));
    const std::size_t last = set.records.size() - 2;
    const bool outside = comparison.steps[last].modules_not_comparable > 0 ||
                         std::any_of(comparison.parts.begin(), comparison.parts.end(), [last](const PartHistory& part) {
                             return is_worse(part.changes[last]);
                         });
    return strict_ && outside ? ExitCode::outside_limits : ExitCode::done;
}

}  // namespace

std::unique_ptr<Command> make_compare_command() {
    return std::make_unique<CompareCommand>();
}

}  // namespace heatrow::cli
