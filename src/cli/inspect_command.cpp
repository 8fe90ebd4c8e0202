#include "command.hpp"
#include "heatrow/core/error.hpp"
#include "heatrow/io/data_folder.hpp"
#include "heatrow/io/frame_set.hpp"
#include "heatrow/io/profile_reader.hpp"
#include "heatrow/io/survey_settings.hpp"
#include "heatrow/site/layout.hpp"
#include "inspect_frames.hpp"
#include "inspect_log.hpp"
#include "inspect_survey.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>

namespace heatrow::cli {
namespace {

namespace fs = std::filesystem;

constexpr std::string_view kDefaultProfile = "field-practice";

bool is_survey(const fs::path& path) {
    return path.filename() == "survey.toml" || fs::exists(path / "survey.toml");
}

// Files of a folder that may be frames, in natural order.
std::vector<fs::path> pictures_in(const fs::path& folder) {
    constexpr std::array<std::string_view, 10> kExtensions{
        ".tif", ".tiff", ".png", ".jpg", ".jpeg", ".bmp", ".gif", ".pgm", ".csv", ".tsv"};
    std::vector<fs::path> files;
    for (const FrameFile& file : list_frames(folder, "*")) {
        std::string extension = file.path.extension().string();
        std::transform(extension.begin(), extension.end(), extension.begin(), [](char c) {
            return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
        });
        if (std::find(kExtensions.begin(), kExtensions.end(), extension) != kExtensions.end()) {
            files.push_back(file.path);
        }
    }
    if (files.empty()) {
        throw Error(ErrorKind::input,
                    "cannot find the frames",
                    folder.string(),
                    fmt::format("no frame: the folder holds no {} file", fmt::join(kExtensions, ", ")),
                    "Name the folder of the frames, or the frames themselves");
    }
    return files;
}

class InspectCommand : public Command {
  public:
    [[nodiscard]] std::string name() const override { return "inspect"; }
    [[nodiscard]] std::string summary() const override {
        return "What are these frames? Encoding, temperature range, tags, duplicates; refuses what is not radiometric";
    }
    [[nodiscard]] std::vector<std::string> examples() const override {
        return {
            "heatrow inspect frames/                               # all frames of a folder, encoding guessed",
            "heatrow inspect a.tif --scale 0.01 --offset -273.15   # temperatures by a declared encoding",
            "heatrow inspect a.tif --scale 0.04 --unit K           # the same in kelvin",
            "heatrow inspect survey/                               # frames and logs of a survey, as it declares them",
            "heatrow inspect conditions.csv                        # a log of irradiance and weather",
            "heatrow inspect frames/ --json                        # for programs"};
    }
    void set_up(CLI::App& app) override {
        app.add_option("path", paths_, "Frames, folders of frames, survey folders or conditions logs")->required();
        auto* scale = app.add_option("--scale", scale_, "Temperature = scale x count + offset");
        app.add_option("--offset", offset_, "See --scale; default 0")->needs(scale);
        app.add_option("--unit", unit_, "Of scale x count + offset; default degC")
            ->check(CLI::IsMember({"degC", "K"}))
            ->needs(scale);
        app.add_option("--nodata", nodata_, "Count that means no data");
        app.add_option("--profile", profile_, "Profile with the plausible temperatures; default field-practice");
        app.add_flag("--each", each_, "Show every frame in full, not a summary of several");
        app.add_flag("--json", json_, "Print JSON");
        add_log_options(app, log_options_);
    }
    ExitCode run() override;

  private:
    [[nodiscard]] FrameInspectionRequest request_for_files(std::vector<fs::path> files) const;
    [[nodiscard]] FrameInspectionRequest request_for_survey(const SurveySettings& settings) const;
    void show_survey(const fs::path& survey) const;
    void show(const FrameInspectionRequest& request) const;

    std::vector<fs::path> paths_;
    std::optional<double> scale_;
    std::optional<double> offset_;
    std::optional<std::string> unit_;
    std::optional<double> nodata_;
    std::optional<std::string> profile_;
    bool each_ = false;
    bool json_ = false;
    LogOptions log_options_;
};

FrameInspectionRequest InspectCommand::request_for_files(std::vector<fs::path> files) const {
    FrameInspectionRequest request;
    request.files = std::move(files);
    request.profile = read_profile(find_profile(profile_.value_or(std::string(kDefaultProfile)), {}));
    request.nodata = nodata_;
    if (scale_) {
        TemperatureEncoding encoding;
        encoding.scale = *scale_;
        encoding.offset = offset_.value_or(0.0);
        encoding.kelvin = unit_ == "K";
        encoding.nodata = nodata_;
        if (const std::string problem = problem_with(encoding); !problem.empty()) {
            throw Error(ErrorKind::usage, "cannot use the declared encoding", "--scale, --offset", problem, "");
        }
        request.declared = encoding;
        request.declared_by = "--scale, --offset or --unit";
    }
    return request;
}

FrameInspectionRequest InspectCommand::request_for_survey(const SurveySettings& settings) const {
    std::vector<fs::path> files;
    for (const FrameFile& file : list_frames(settings.frames.folder, settings.frames.files)) {
        files.push_back(file.path);
    }
    FrameInspectionRequest request = request_for_files(std::move(files));
    request.profile = read_profile(find_profile(profile_.value_or(settings.profile), settings.folder));
    if (!request.declared) {
        request.declared = settings.temperature.encoding;
        request.declared_by = fmt::format("[temperature] in {}", settings.file.string());
        request.nodata = nodata_ ? nodata_ : settings.temperature.encoding.nodata;
    }
    request.camera_size_px = {settings.frame_camera().width_px, settings.frame_camera().height_px};
    return request;
}

void InspectCommand::show(const FrameInspectionRequest& request) const {
    const auto frames = inspect_frames(request);
    fmt::print(
        "{}{}", json_ ? frames_as_json(frames, request) : frames_as_text(frames, request, each_), json_ ? "\n" : "");
    require_sound(frames, request);
}

// Frames come first: what is wrong with a log does not hide them.
void InspectCommand::show_survey(const fs::path& survey) const {
    const SurveySettings settings = read_survey_settings(survey);
    const FrameInspectionRequest request = request_for_survey(settings);
    const auto frames = inspect_frames(request);
    if (json_) {
        fmt::print("{}\n", with_logs_as_json(frames_as_json(frames, request), read_survey_logs(settings)));
    } else {
        fmt::print("{}", frames_as_text(frames, request, each_));
        fmt::print("{}", logs_as_text(read_survey_logs(settings)));
    }
    require_sound(frames, request);
}

ExitCode InspectCommand::run() {
    std::vector<fs::path> frames;
    for (const fs::path& path : paths_) {
        if (!fs::exists(path)) {
            throw Error(ErrorKind::input, "cannot inspect", path.string(), "no such file or folder", "Check the path");
        }
        if (is_survey(path) || is_conditions_log(path)) {
            if (paths_.size() > 1) {
                throw Error(ErrorKind::usage,
                            "cannot inspect several things at once",
                            path.string(),
                            "a survey or a log is inspected alone",
                            "Run the command once for each");
            }
            if (is_conditions_log(path)) {
                return inspect_log(path, json_, log_options_);
            }
            show_survey(path);
            return ExitCode::done;
        }
        if (fs::is_directory(path)) {
            const auto files = pictures_in(path);
            frames.insert(frames.end(), files.begin(), files.end());
        } else {
            frames.push_back(path);
        }
    }
    show(request_for_files(std::move(frames)));
    return ExitCode::done;
}

}  // namespace

std::unique_ptr<Command> make_inspect_command() {
    return std::make_unique<InspectCommand>();
}

}  // namespace heatrow::cli
