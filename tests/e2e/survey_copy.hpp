// A copy of the rendered survey that a test may spoil, and what is needed to spoil it.
#pragma once

#include "support/program.hpp"
#include "support/text_file.hpp"

#include <filesystem>
#include <map>
#include <string>

namespace heatrow::testing {

// The rendered survey with its truth; the second one has a string that is warm as a whole, the third shows no end of
// its rows.
std::filesystem::path rendered_survey();
std::filesystem::path rendered_warm_string();
std::filesystem::path rendered_even_rows();
// A roof by hand, placed by corner points.
std::filesystem::path rendered_roof();

// A folder of its own for one test, emptied at the start. `survey()` is the rendered survey without its truth.
class SurveyCopy {
  public:
    explicit SurveyCopy(const std::string& name, const std::filesystem::path& rendered = rendered_survey());

    [[nodiscard]] const std::filesystem::path& folder() const { return folder_; }
    [[nodiscard]] std::filesystem::path survey() const { return folder_ / "survey"; }
    [[nodiscard]] std::filesystem::path result() const { return folder_ / "result"; }
    // Name of a frame by its place in natural order.
    [[nodiscard]] std::string frame(std::size_t index) const;

    // heatrow analyse survey --out result, with further arguments.
    [[nodiscard]] ProgramResult analyse(const std::vector<std::string>& more = {}) const;

  private:
    std::filesystem::path folder_;
};

// Every file below a folder with its bytes.
std::map<std::string, std::string> files_of(const std::filesystem::path& folder);
std::string read_text(const std::filesystem::path& file);
// Replaces the first occurrence; throws if there is none.
void replace_in_file(const std::filesystem::path& file, const std::string& from, const std::string& to);
// Nothing of a run is left beside the survey but what it had measured in frames: neither a result nor a part of one.
bool nothing_was_written(const SurveyCopy& copy);

ProgramResult heatrow(const std::vector<std::string>& arguments);

}  // namespace heatrow::testing
