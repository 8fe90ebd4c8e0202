#include "support/sample_result.hpp"

#include "heatrow/io/result_writer.hpp"
#include "support/sample_crops.hpp"
#include "support/sample_facts.hpp"
#include "support/text_file.hpp"

namespace heatrow::testing {

void write_sample_result(const std::filesystem::path& folder,
                         const SampleOptions& options,
                         const std::function<void(SurveyRecord&)>& change) {
    SurveyRecord record = sample_record(options);
    if (change) {
        change(record);
    }
    const RunFacts facts = sample_facts();
    record.run = describe_run(facts);
    record.crops = sample_crops(record);
    write_results(record, facts, {}, {}, folder, true);
}

std::map<std::string, std::string> files_of(const std::filesystem::path& folder) {
    std::map<std::string, std::string> files;
    for (const auto& entry : std::filesystem::recursive_directory_iterator(folder)) {
        if (entry.is_regular_file()) {
            files[std::filesystem::relative(entry.path(), folder).string()] = text_of(entry.path());
        }
    }
    return files;
}

}  // namespace heatrow::testing
