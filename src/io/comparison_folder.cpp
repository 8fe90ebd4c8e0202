#include "heatrow/io/comparison_folder.hpp"

#include "heatrow/io/changes_csv.hpp"
#include "heatrow/io/changes_gpkg.hpp"
#include "heatrow/io/output_folder.hpp"
#include "heatrow/io/sha256.hpp"

#include <nlohmann/json.hpp>

#include <algorithm>

namespace heatrow {
namespace {

namespace fs = std::filesystem;

std::string manifest_of(const ComparisonFolder& folder,
                        std::span<const SurveyRecord* const> surveys,
                        const fs::path& written) {
    nlohmann::ordered_json json;
    json["format"] = "heatrow-manifest";
    json["format_version"] = 1;
    json["program"] = {{"name", "heatrow"}, {"version", folder.program_version}, {"command", "compare"}};
    json["profile"] = folder.profile;
    json["inputs"] = nlohmann::ordered_json::array();
    for (std::size_t s = 0; s < surveys.size(); ++s) {
        json["inputs"].push_back({{"survey", surveys[s]->survey_id},
                                  {"run", surveys[s]->run.id},
                                  {"file", folder.inputs[s].filename().string()},
                                  {"sha256", sha256_of_file(folder.inputs[s])}});
    }
    std::vector<fs::path> files;
    for (const fs::directory_entry& entry : fs::directory_iterator(written)) {
        files.push_back(entry.path());
    }
    std::sort(files.begin(), files.end());
    json["outputs"] = nlohmann::ordered_json::array();
    for (const fs::path& file : files) {
        json["outputs"].push_back(
            {{"file", file.filename().string()}, {"bytes", fs::file_size(file)}, {"sha256", sha256_of_file(file)}});
    }
    return json.dump(2) + "\n";
}

}  // namespace

void write_comparison(const Comparison& comparison,
                      std::span<const SurveyRecord* const> surveys,
                      const ComparisonFolder& folder) {
    OutputFolder output(folder.out, folder.overwrite);
    write_file(output.path() / "changes.csv", changes_csv(comparison, surveys));
    write_file(output.path() / "steps.csv", steps_csv(comparison, surveys));
    write_file(output.path() / "identities.csv", identities_csv(comparison, surveys));
    write_changes_gpkg(comparison, surveys, output.path() / "changes.gpkg");
    write_file(output.path() / "changes.html", folder.page);
    write_file(output.path() / "manifest.json", manifest_of(folder, surveys, output.path()));
    output.publish();
}

}  // namespace heatrow
