#include "command.hpp"
#include "heatrow/io/output_folder.hpp"
#include "heatrow/io/result_remaker.hpp"
#include "version.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>

namespace heatrow::cli {
namespace {

class ReportCommand : public Command {
  public:
    [[nodiscard]] std::string name() const override { return "report"; }
    [[nodiscard]] std::string summary() const override {
        return "Hand it over: draws pages, tables and drawings again from the record, without frames";
    }
    [[nodiscard]] std::vector<std::string> examples() const override {
        return {"heatrow report result/ --overwrite                     # everything again, in place",
                "heatrow report result/ --only html --overwrite         # the page alone",
                "heatrow report result/ --out handover/                 # to another folder",
                "heatrow report survey.gpkg --out handover/             # from the record alone, without pictures "
                "beside it"};
    }
    void set_up(CLI::App& app) override {
        app.add_option("record", record_, "Result folder of 'analyse', or its survey.gpkg")->required();
        std::string names;
        for (const Rendering& rendering : renderings()) {
            names += (names.empty() ? "" : ", ") + std::string(rendering.name);
        }
        app.add_option("--only", only_, "Draw only these, separated by commas: " + names)->delimiter(',');
        app.add_option("-o,--out", out_, "Write to this folder; left out: the result folder itself");
        app.add_flag("--overwrite", overwrite_, "Replace what is there, once the new one is complete");
        app.add_flag("--json", json_, "Print what was written as JSON");
    }
    ExitCode run() override;

  private:
    std::filesystem::path record_;
    std::vector<std::string> only_;
    std::filesystem::path out_;
    bool overwrite_ = false;
    bool json_ = false;
};

// Files and folders of the result that are drawn anew, in order of their names.
std::vector<std::string> drawn_files(const std::filesystem::path& folder, const std::vector<Rendering>& renderings) {
    std::vector<std::string> names;
    for (const std::filesystem::directory_entry& entry : std::filesystem::directory_iterator(folder)) {
        const std::string name = entry.path().filename().string();
        if (std::any_of(renderings.begin(), renderings.end(), [&name](const Rendering& rendering) {
                return is_written_by(rendering, name);
            })) {
            names.push_back(name);
        }
    }
    std::sort(names.begin(), names.end());
    return names;
}

ExitCode ReportCommand::run() {
    RemakeOptions options;
    options.renderings = renderings_named(only_);
    options.from = record_;
    options.to = out_.empty() ? record_file(record_).parent_path() : out_;
    options.overwrite = overwrite_;
    options.command = "report";
    options.program_version = kVersion;
    require_free_output(options.to, overwrite_);
    const RenderedFolder made = remake_result(options);
    for (const std::string& note : made.notes) {
        fmt::print(stderr, "note: {}\n", note);
    }
    if (json_) {
        nlohmann::ordered_json json;
        json["schema"] = "heatrow-report/1";
        json["survey"] = made.record.survey_id;
        json["out"] = options.to.string();
        json["findings"] = made.record.findings.size();
        json["drawn"] = nlohmann::ordered_json::array();
        for (const Rendering& rendering : options.renderings) {
            json["drawn"].push_back(rendering.name);
        }
        fmt::print("{}\n", json.dump(2));
        return ExitCode::done;
    }
    for (const std::string& name : drawn_files(options.to, options.renderings)) {
        fmt::print("{}\n", (options.to / name).string());
    }
    return ExitCode::done;
}

}  // namespace

std::unique_ptr<Command> make_report_command() {
    return std::make_unique<ReportCommand>();
}

}  // namespace heatrow::cli
