#include "survey_copy.hpp"

#include <algorithm>
#include <fstream>
#include <sstream>
#include <stdexcept>

namespace heatrow::testing {

namespace fs = std::filesystem;

fs::path rendered_survey() {
    return fs::path(HEATROW_E2E_WORK) / "rendered";
}

fs::path rendered_warm_string() {
    return fs::path(HEATROW_E2E_WORK) / "rendered-warm-string";
}

fs::path rendered_even_rows() {
    return fs::path(HEATROW_E2E_WORK) / "rendered-even-rows";
}

fs::path rendered_roof() {
    return fs::path(HEATROW_E2E_WORK) / "rendered-roof";
}

SurveyCopy::SurveyCopy(const std::string& name, const fs::path& rendered) : folder_(fs::path(HEATROW_E2E_WORK) / name) {
    fs::remove_all(folder_);
    fs::create_directories(folder_);
    fs::copy(rendered, survey(), fs::copy_options::recursive);
    fs::remove_all(survey() / "truth");
}

std::string SurveyCopy::frame(std::size_t index) const {
    std::vector<std::string> names;
    for (const auto& entry : fs::directory_iterator(survey() / "frames")) {
        names.push_back(entry.path().filename().string());
    }
    std::sort(names.begin(), names.end());
    return names.at(index);
}

ProgramResult SurveyCopy::analyse(const std::vector<std::string>& more) const {
    std::vector<std::string> arguments{"analyse", survey().string(), "--out", result().string()};
    arguments.insert(arguments.end(), more.begin(), more.end());
    return heatrow(arguments);
}

std::map<std::string, std::string> files_of(const fs::path& folder) {
    std::map<std::string, std::string> files;
    for (const auto& entry : fs::recursive_directory_iterator(folder)) {
        if (entry.is_regular_file()) {
            files[fs::relative(entry.path(), folder).string()] = read_text(entry.path());
        }
    }
    return files;
}

std::string read_text(const fs::path& file) {
    std::ifstream stream(file, std::ios::binary);
    if (!stream) {
        throw std::runtime_error("cannot read " + file.string());
    }
    std::ostringstream text;
    text << stream.rdbuf();
    return text.str();
}

void replace_in_file(const fs::path& file, const std::string& from, const std::string& to) {
    std::string text = read_text(file);
    const auto place = text.find(from);
    if (place == std::string::npos) {
        throw std::runtime_error("'" + from + "' does not stand in " + file.string());
    }
    write_text(file, text.replace(place, from.size(), to));
}

bool nothing_was_written(const SurveyCopy& copy) {
    for (const auto& entry : fs::directory_iterator(copy.folder())) {
        if (entry.path() != copy.survey() && entry.path().filename() != "heatrow-cache") {
            return false;
        }
    }
    return true;
}

ProgramResult heatrow(const std::vector<std::string>& arguments) {
    return run_program(HEATROW_PROGRAM, arguments);
}

}  // namespace heatrow::testing
