// The jobs of `heatrow review`.
#pragma once

#include "command.hpp"
#include "heatrow/record/survey_record.hpp"

#include <filesystem>
#include <memory>
#include <string>
#include <vector>

namespace heatrow::cli {

class ReviewJob {
  public:
    ReviewJob() = default;
    ReviewJob(const ReviewJob&) = delete;
    ReviewJob& operator=(const ReviewJob&) = delete;
    virtual ~ReviewJob() = default;

    [[nodiscard]] virtual std::string name() const = 0;
    [[nodiscard]] virtual std::string summary() const = 0;
    [[nodiscard]] virtual std::string footer() const = 0;
    virtual void set_up(CLI::App& app) = 0;
    virtual ExitCode run() = 0;
};

std::unique_ptr<ReviewJob> make_review_apply();
std::unique_ptr<ReviewJob> make_review_show();
std::unique_ptr<ReviewJob> make_review_carry();

// Where a changed result goes.
struct ReviewOutput {
    std::filesystem::path out;  // empty: the result folder itself
    bool overwrite = false;

    void declare(CLI::App& app);
};

// The result folder with entries added to its review log, everything drawn again. Returns the record.
SurveyRecord write_reviewed(const std::filesystem::path& result,
                            const ReviewOutput& output,
                            const SurveyRecord& record,
                            const std::vector<ReviewEntry>& entries);

}  // namespace heatrow::cli
