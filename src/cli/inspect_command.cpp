#include "command.hpp"
#include "draft_settings.hpp"
#include "heatrow/core/error.hpp"
#include "heatrow/io/data_folder.hpp"
#include "heatrow/io/frame_set.hpp"
#include "heatrow/io/output_file.hpp"
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
        return "What are these frames? Encoding, temperature range, tags, duplicates, strays; refuses what is not "
               "radiometric";
    }
    [[nodiscard]] std::vector<std::string> examples() const override {
        return {
            "heatrow inspect frames/                               # all frames of a folder, encoding guessed",
            "heatrow inspect a.tif --scale 0.01 --offset -273.15   # temperatures by a declared encoding",
            "heatrow inspect a.tif --scale 0.04 --unit K           # the same in kelvin",
            "heatrow inspect survey/                               # frames and logs of a survey, as it declares them",
            "heatrow inspect folder/ --write-settings              # draft folder/survey.toml from what lies there",
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
        app.add_flag(
            "--write-settings", write_settings_, "Draft FOLDER/survey.toml; an existing one is never replaced");
        app.add_flag("--json", json_, "Print JSON");
        add_log_options(app, log_options_);
    }
    ExitCode run() override;

  private:
    [[nodiscard]] FrameInspectionRequest request_for_files(std::vector<fs::path> files) const;
    [[nodiscard]] FrameInspectionRequest request_for_survey(const SurveySettings& settings) const;
    void show_survey(const fs::path& survey) const;
    std::vector<InspectedFrame> show(const FrameInspectionRequest& request) const;
    void write_settings() const;

    std::vector<fs::path> paths_;
    std::optional<double> scale_;
    std::optional<double> offset_;
    std::optional<std::string> unit_;
    std::optional<double> nodata_;
    std::optional<std::string> profile_;
    bool each_ = false;
    bool write_settings_ = false;
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

std::vector<InspectedFrame> InspectCommand::show(const FrameInspectionRequest& request) const {
    auto frames = inspect_frames(request);
    fmt::print(
        "{}{}", json_ ? frames_as_json(frames, request) : frames_as_text(frames, request, each_), json_ ? "\n" : "");
    return frames;
}

void InspectCommand::write_settings() const {
    if (paths_.size() != 1 || !fs::is_directory(paths_.front())) {
        throw Error(ErrorKind::usage,
                    "cannot draft settings",
                    "--write-settings",
                    "it takes one folder",
                    "Name the folder that holds frames, poses, layout and conditions");
    }
    const SurveyFolder found = look_into_survey_folder(paths_.front());
    const fs::path target = found.folder / "survey.toml";
    if (fs::exists(target)) {
        throw Error(ErrorKind::output,
                    "cannot draft settings",
                    target.string(),
                    "it exists, and what was filled in is not replaced",
                    "Edit it, or move it away first");
    }
    const auto frames = show(request_for_files(found.frame_files));
    publish_file(target, draft_settings(found, frames), false);
    fmt::print(stderr, "wrote {}; fill in what it demands, then 'heatrow analyse'\n", target.string());
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
    if (write_settings_) {
        write_settings();
        return ExitCode::done;
    }
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
    const FrameInspectionRequest request = request_for_files(std::move(frames));
    require_sound(show(request), request);
    return ExitCode::done;
}

}  // namespace

std::unique_ptr<Command> make_inspect_command() {
    return std::make_unique<InspectCommand>();
}

}  // namespace heatrow::cli
