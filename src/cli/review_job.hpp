// The jobs of `heatrow review`.
#pragma once

#include "heatrow/record/survey_record.hpp"
#include "job.hpp"

#include <filesystem>
#include <memory>
#include <vector>

namespace heatrow::cli {

std::unique_ptr<Job> make_review_apply();
std::unique_ptr<Job> make_review_show();
std::unique_ptr<Job> make_review_carry();
std::unique_ptr<Job> make_review_reinspect();

// The time of --reviewed, UTC. Throws Error(usage).
UtcTime reviewed_time(const std::string& text);

// Where a changed result goes.
struct ReviewOutput {
    std::filesystem::path out;  // empty: the result folder itself
    bool overwrite = false;

    void declare(CLI::App& app);
};

// The result folder with entries added to its review log, everything drawn again.
void write_reviewed(const std::filesystem::path& result,
                    const ReviewOutput& output,
                    const SurveyRecord& record,
                    const std::vector<ReviewEntry>& entries);

}  // namespace heatrow::cli
