#include "command.hpp"
#include "heatrow/core/error.hpp"
#include "heatrow/io/evidence_bundle.hpp"
#include "heatrow/io/manifest.hpp"
#include "heatrow/io/output_folder.hpp"
#include "heatrow/io/result_remaker.hpp"
#include "heatrow/io/survey_gpkg_reader.hpp"
#include "heatrow/io/text_table.hpp"
#include "version.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

namespace heatrow::cli {
namespace {

class BundleCommand : public Command {
  public:
    [[nodiscard]] std::string name() const override { return "bundle"; }
    [[nodiscard]] std::string summary() const override {
        return "Make a claim: findings of one module type or list with pictures, frames, curves, serials, log, hashes";
    }
    [[nodiscard]] std::vector<std::string> examples() const override {
        return {
            "heatrow bundle result/ --type halfcut-144 --serials serials.csv --curves iv/ --survey field/ --out claim/",
            "heatrow bundle result/ --finding R2-T1-M07.hot_cell.r4c4 --claim 'Glass breakage, row 2' --out claim/",
            "heatrow bundle result/ --list claimed.csv --out claim/ --strict   # exit code 3 while something is "
            "missing"};
    }
    void set_up(CLI::App& app) override {
        app.add_option("result", result_, "Result folder of 'analyse'")->required();
        app.add_option("--type", choice_.type, "Findings of class 2 and 3 on modules of this type, but rejected ones");
        app.add_option("--finding", choice_.findings, "Finding, by its id; may be given again");
        app.add_option("--list", list_, "Table with a column 'finding'");
        app.add_option("--claim", claim_, "What it is for, in words");
        app.add_option("--survey", sources_.survey, "Survey folder, for the original frames");
        app.add_option("--serials", serials_, "Table with the columns 'module' and 'serial'");
        app.add_option("--curves", sources_.curves, "Folder of I-V files named by module or finding id");
        app.add_option("-o,--out", out_, "Folder to write")->required();
        app.add_flag("--overwrite", overwrite_, "Replace what is there, once the new one is complete");
        app.add_flag("--strict", strict_, "Exit code 3 where something is missing");
        app.add_flag("--json", json_, "Print what was written as JSON");
        app.footer(
            app.get_footer() +
            "Safety: serial plates are read and I-V curves taken at live arrays. Only licensed, qualified people "
            "open\ncircuits, under local codes; never open a connector or fuse under load; guard against falls "
            "and heat. A bundle\nis evidence for people who decide, no decision.\n");
    }
    ExitCode run() override;

  private:
    void read_list();
    void check_folders() const;
    void print(const EvidenceSummary& summary) const;

    std::filesystem::path result_;
    EvidenceChoice choice_;
    EvidenceSources sources_;
    std::filesystem::path list_;
    std::filesystem::path serials_;
    std::string claim_;
    std::filesystem::path out_;
    bool overwrite_ = false;
    bool strict_ = false;
    bool json_ = false;
};

void BundleCommand::read_list() {
    if (list_.empty()) {
        return;
    }
    const TextTable table = read_text_table(list_);
    const auto column = table.find_column("finding");
    if (!column) {
        throw Error(ErrorKind::input,
                    "cannot read the list of findings",
                    table.place(table.header),
                    "it has no column finding",
                    "Write the ids of findings.csv under the header finding");
    }
    for (const TextRow& row : table.rows) {
        choice_.findings.emplace_back(cell(row, *column));
    }
}

void BundleCommand::check_folders() const {
    if (choice_.type.empty() && choice_.findings.empty() && list_.empty()) {
        throw Error(ErrorKind::usage,
                    "cannot choose findings",
                    "bundle",
                    "neither --type nor --finding nor --list is given",
                    "Say which findings the claim is about");
    }
    for (const auto& [option, folder] : {std::pair("--survey", sources_.survey), {"--curves", sources_.curves}}) {
        if (!folder.empty() && !std::filesystem::is_directory(folder)) {
            throw Error(
                ErrorKind::usage, "cannot read a folder", option, folder.string() + " is none", "Check the path");
        }
    }
}

ExitCode BundleCommand::run() {
    check_folders();
    require_free_output(out_, overwrite_);
    const std::filesystem::path gpkg = record_file(result_);
    sources_.result = gpkg.parent_path();
    const SurveyRecord record = read_survey_gpkg(gpkg);
    read_list();
    if (!serials_.empty()) {
        sources_.serials = read_serials(serials_, record);
    }
    const std::vector<int> findings = chosen_findings(record, choice_);
    if (claim_.empty()) {
        claim_ = choice_.type.empty() ? std::string("Findings as listed.")
                                      : "Findings on modules of type " + choice_.type + ".";
    }
    OutputFolder output(out_, overwrite_);
    const EvidenceSummary summary = write_evidence(record, findings, claim_, sources_, output.path());
    write_file(output.path() / "manifest.json", remade_manifest_text({}, record, "bundle", kVersion, output.path()));
    output.publish();
    print(summary);
    return strict_ && !summary.missing.empty() ? ExitCode::outside_limits : ExitCode::done;
}

void BundleCommand::print(const EvidenceSummary& summary) const {
    if (json_) {
        nlohmann::ordered_json json;
        json["schema"] = "heatrow-bundle/1";
        json["out"] = out_.string();
        json["findings"] = summary.findings;
        json["files"] = summary.files;
        json["missing"] = summary.missing;
        fmt::print("{}\n", json.dump(2));
        return;
    }
    fmt::print("{} findings, {} files, {} things missing: {}\n",
               summary.findings,
               summary.files,
               summary.missing.size(),
               (out_ / "index.html").string());
    for (const std::string& what : summary.missing) {
        fmt::print("missing: {}\n", what);
    }
}

}  // namespace

std::unique_ptr<Command> make_bundle_command() {
    return std::make_unique<BundleCommand>();
}

}  // namespace heatrow::cli
