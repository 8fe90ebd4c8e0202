#include "calibrate_job.hpp"
#include "heatrow/core/error.hpp"
#include "heatrow/io/data_folder.hpp"
#include "heatrow/io/output_file.hpp"
#include "heatrow/io/picture_reader.hpp"
#include "heatrow/io/profile_reader.hpp"
#include "heatrow/pipeline/interrupt.hpp"
#include "heatrow/vision/camera_calibration.hpp"
#include "progress_line.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <cctype>
#include <charconv>
#include <cmath>
#include <optional>

namespace heatrow::cli {
namespace {

namespace fs = std::filesystem;

// What came of the files that were given.
struct BoardFrames {
    std::vector<BoardFrame> found;
    std::vector<std::string> without;     // no whole board in them
    std::vector<std::string> unreadable;  // with the reason
    int width_px = 0;
    int height_px = 0;
    std::size_t pictures_8_bit = 0;
};

[[noreturn]] void refuse(ErrorKind kind, std::string_view where, std::string_view why, std::string_view remedy) {
    throw Error(kind, "cannot calibrate the camera", where, why, remedy);
}

// "6x5"
BoardShape parse_board(const std::string& text, double spacing_m, const std::string& pattern) {
    BoardShape shape;
    shape.spacing = Metres(spacing_m);
    shape.pattern = pattern == "circles" ? BoardPattern::circles : BoardPattern::corners;
    const char* end = text.data() + text.size();
    const auto columns = std::from_chars(text.data(), end, shape.columns);
    const bool crossed = columns.ec == std::errc() && columns.ptr != end && *columns.ptr == 'x';
    if (crossed) {
        const auto rows = std::from_chars(columns.ptr + 1, end, shape.rows);
        if (rows.ec == std::errc() && rows.ptr == end) {
            if (const std::string problem = problem_of(shape); !problem.empty()) {
                refuse(ErrorKind::usage, "--board, --square", problem, "Count the inner corners, or the circles");
            }
            return shape;
        }
    }
    refuse(ErrorKind::usage,
           "--board",
           fmt::format("'{}' is not of the form COLUMNSxROWS", text),
           "For 7 x 6 fields: --board 6x5 (inner corners)");
}

CameraCalibrationLimits limits_of(const Profile& profile) {
    return {static_cast<int>(profile.least_boards.value),
            degrees(profile.least_tilt_spread_deg.value),
            profile.most_focal_u_share.value,
            profile.most_aspect_error.value,
            profile.board_outlier_ratio.value,
            profile.least_board_coverage.value};
}

// The block of survey.toml, with the figures as comments.
std::string toml_text(const CameraCalibration& result, const BoardFrames& frames, const std::string& id) {
    const Lens& lens = result.lens;
    const LensUncertainty& u = result.u;
    std::string text = fmt::format(
        "[[camera]]\n"
        "id = \"{}\"\n"
        "width_px = {}\n"
        "height_px = {}\n"
        "focal_px = {:.2f}  # u {:.2f}\n"
        "principal_point_px = [{:.2f}, {:.2f}]  # u {:.2f}, {:.2f}\n"
        "distortion = [{:.5f}, {:.5f}, {:.6f}, {:.6f}, {:.5f}]  # u {:.5f}, {:.5f}, {:.6f}, {:.6f}, {:.5f}\n",
        id,
        lens.width_px,
        lens.height_px,
        lens.focal_px,
        u.focal_px,
        lens.principal_point_px.x(),
        lens.principal_point_px.y(),
        u.principal_point_px.x(),
        u.principal_point_px.y(),
        lens.k1,
        lens.k2,
        lens.p1,
        lens.p2,
        lens.k3,
        u.k1,
        u.k2,
        u.p1,
        u.p2,
        u.k3);
    text += fmt::format("# RMS {:.3f} px over {} of {} frames; u: standard uncertainties from the residuals\n",
                        result.rms_px,
                        frames.found.size(),
                        frames.found.size() + frames.without.size() + frames.unreadable.size());
    text += fmt::format("# pixels not taken for square: fx {:.2f} (u {:.2f}), fy {:.2f} (u {:.2f}) px\n",
                        result.focal_xy_px.x(),
                        result.focal_xy_u_px.x(),
                        result.focal_xy_px.y(),
                        result.focal_xy_u_px.y());
    text += fmt::format(
        "# boards cover {:.0f} % of the picture, reach {:.0f} % of its half diagonal, tilts differ by {:.1f} deg\n",
        100.0 * result.coverage,
        100.0 * result.reach,
        in_degrees(result.tilt_spread));
    for (const CalibratedBoard& board : result.boards) {
        text += fmt::format("# {}: RMS {:.3f} px, worst {:.2f} px, tilt {:.1f} deg, {:.3g} m{}\n",
                            board.name,
                            board.rms_px,
                            board.worst_px,
                            in_degrees(board.tilt),
                            board.distance.value(),
                            board.outlier ? ", OUTLIER" : "");
    }
    return text;
}

std::string json_text(const CameraCalibration& result, const BoardFrames& frames) {
    const Lens& lens = result.lens;
    const LensUncertainty& u = result.u;
    nlohmann::ordered_json json;
    json["schema"] = "heatrow-calibrate-camera/1";
    json["width_px"] = lens.width_px;
    json["height_px"] = lens.height_px;
    json["focal_px"] = lens.focal_px;
    json["focal_u_px"] = u.focal_px;
    json["principal_point_px"] = {lens.principal_point_px.x(), lens.principal_point_px.y()};
    json["principal_point_u_px"] = {u.principal_point_px.x(), u.principal_point_px.y()};
    json["distortion"] = {lens.k1, lens.k2, lens.p1, lens.p2, lens.k3};
    json["distortion_u"] = {u.k1, u.k2, u.p1, u.p2, u.k3};
    json["focal_xy_px"] = {result.focal_xy_px.x(), result.focal_xy_px.y()};
    json["focal_xy_u_px"] = {result.focal_xy_u_px.x(), result.focal_xy_u_px.y()};
    json["rms_px"] = result.rms_px;
    json["tilt_spread_deg"] = in_degrees(result.tilt_spread);
    json["coverage"] = result.coverage;
    json["reach"] = result.reach;
    json["frames"] = nlohmann::ordered_json::array();
    for (const CalibratedBoard& board : result.boards) {
        nlohmann::ordered_json frame;
        frame["frame"] = board.name;
        frame["rms_px"] = board.rms_px;
        frame["worst_px"] = board.worst_px;
        frame["tilt_deg"] = in_degrees(board.tilt);
        frame["distance_m"] = board.distance.value();
        frame["outlier"] = board.outlier;
        json["frames"].push_back(frame);
    }
    json["without_board"] = frames.without;
    json["unreadable"] = frames.unreadable;
    json["frames_8_bit"] = frames.pictures_8_bit;
    json["warnings"] = result.warnings;
    return json.dump(2) + "\n";
}

// CLI11's form of a check: what is wrong, or nothing.
std::string is_id(const std::string& text) {
    const bool fine = !text.empty() && std::all_of(text.begin(), text.end(), [](unsigned char c) {
        return std::isalnum(c) != 0 || c == '-' || c == '_' || c == '.';
    });
    return fine ? std::string() : fmt::format("'{}' is no id: letters, digits, '-', '_', '.'", text);
}

class CalibrateCamera : public Job {
  public:
    [[nodiscard]] std::string name() const override { return "camera"; }
    [[nodiscard]] std::string summary() const override {
        return "Focal length, principal point and distortion from frames of a flat board";
    }
    [[nodiscard]] std::string footer() const override {
        return "Prints a [[camera]] block for survey.toml, its figures as comments. 8-bit pictures will do: only "
               "positions "
               "are read from them.\n"
               "Examples:\n"
               "  heatrow calibrate camera board/ --board 6x5 --square 0.1                  # 7 x 6 fields of 10 cm\n"
               "  heatrow calibrate camera dots/ --board 9x7 --square 0.05 --pattern circles\n"
               "  heatrow calibrate camera board/ --board 6x5 --square 0.1 --out camera.toml --json";
    }
    void set_up(CLI::App& app) override {
        app.add_option("frames", given_, "Frames of the board, or folders of them")->required();
        app.add_option("--board", board_, "Points along the sides, COLUMNSxROWS: inner corners, or circles")
            ->required();
        app.add_option("--square", square_m_, "Distance between neighbouring points, m")->required();
        app.add_option("--pattern", pattern_, "What the points are")
            ->check(CLI::IsMember({"corners", "circles"}))
            ->capture_default_str();
        app.add_flag("--k3", with_k3_, "Fit the sixth-order term too; for wide lenses with boards in the corners");
        app.add_option("--id", id_, "Id of the camera in the block: letters, digits, '-', '_', '.'")
            ->check(is_id)
            ->capture_default_str();
        app.add_option("--profile", profile_, "Profile with the limits of a calibration")->capture_default_str();
        app.add_option("-o,--out", out_, "Also write the block to this file");
        app.add_flag("--overwrite", overwrite_, "Replace that file");
        app.add_flag("--json", json_, "Print JSON");
        app.add_flag("-q,--quiet", quiet_, "No progress and no notes on stderr");
    }
    ExitCode run() override;

  private:
    [[nodiscard]] BoardFrames find_boards(const BoardShape& shape) const;
    void add(const fs::path& file, const BoardShape& shape, BoardFrames& frames) const;
    void note(const BoardFrames& frames, const CameraCalibration& result) const;

    std::vector<fs::path> given_;
    std::string board_;
    double square_m_ = 0.0;
    std::string pattern_ = "corners";
    bool with_k3_ = false;
    std::string id_ = "thermal";
    std::string profile_ = "field-practice";
    std::optional<fs::path> out_;
    bool overwrite_ = false;
    bool json_ = false;
    bool quiet_ = false;
};

void CalibrateCamera::add(const fs::path& file, const BoardShape& shape, BoardFrames& frames) const {
    const std::string name = file.filename().string();
    const auto picture = read_picture(file);
    if (!picture) {
        frames.unreadable.push_back(picture.error().detail);
        return;
    }
    const int width = picture->grey.width();
    const int height = picture->grey.height();
    if (frames.width_px == 0) {
        frames.width_px = width;
        frames.height_px = height;
    } else if (width != frames.width_px || height != frames.height_px) {
        refuse(
            ErrorKind::input,
            file.string(),
            fmt::format(
                "it is {} x {} pixels, the frames before it {} x {}", width, height, frames.width_px, frames.height_px),
            "Give frames of one camera only");
    }
    frames.pictures_8_bit += picture->is_8_bit ? 1U : 0U;
    if (const auto view = find_board(picture->grey.view(), shape)) {
        frames.found.push_back({name, view->points_px});
    } else {
        frames.without.push_back(name);
    }
}

BoardFrames CalibrateCamera::find_boards(const BoardShape& shape) const {
    const std::vector<fs::path> files = listed_files(given_);
    BoardFrames frames;
    ProgressLine line(quiet_);
    for (std::size_t i = 0; i < files.size(); ++i) {
        stop_if_interrupted();
        add(files[i], shape, frames);
        line.update("look for the board", i + 1, files.size());
    }
    return frames;
}

void CalibrateCamera::note(const BoardFrames& frames, const CameraCalibration& result) const {
    for (const std::string& reason : frames.unreadable) {
        fmt::print(stderr, "note: not read: {}\n", reason);
    }
    for (const std::string& name : frames.without) {
        fmt::print(stderr, "note: no whole board in {}\n", name);
    }
    if (frames.pictures_8_bit > 0) {
        fmt::print(stderr,
                   "note: {} frames are 8-bit pictures: fine for geometry, no temperature can be read from them\n",
                   frames.pictures_8_bit);
    }
    for (const std::string& warning : result.warnings) {
        fmt::print(stderr, "warning: {}\n", warning);
    }
}

ExitCode CalibrateCamera::run() {
    const BoardShape shape = parse_board(board_, square_m_, pattern_);
    if (out_) {
        require_free_file(*out_, overwrite_);
    }
    const Profile profile = read_profile(find_profile(profile_, {}));
    const BoardFrames frames = find_boards(shape);
    const CameraCalibration result =
        calibrate_camera(frames.found, shape, frames.width_px, frames.height_px, with_k3_, limits_of(profile));
    const std::string block = toml_text(result, frames, id_);
    if (out_) {
        publish_file(*out_, block, overwrite_);
    }
    if (!quiet_) {
        note(frames, result);
    }
    fmt::print("{}", json_ ? json_text(result, frames) : block);
    return ExitCode::done;
}

}  // namespace

std::unique_ptr<Job> make_calibrate_camera() {
    return std::make_unique<CalibrateCamera>();
}

}  // namespace heatrow::cli
