#include "calibrate_job.hpp"
#include "heatrow/core/error.hpp"
#include "heatrow/io/data_folder.hpp"
#include "heatrow/io/float_tiff.hpp"
#include "heatrow/io/frame_reader.hpp"
#include "heatrow/io/output_file.hpp"
#include "heatrow/io/profile_reader.hpp"
#include "heatrow/pipeline/interrupt.hpp"
#include "heatrow/vision/flat_field.hpp"
#include "progress_line.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <cmath>
#include <limits>
#include <optional>

namespace heatrow::cli {
namespace {

namespace fs = std::filesystem;

class CalibrateFlatField : public Job {
  public:
    [[nodiscard]] std::string name() const override { return "flat-field"; }
    [[nodiscard]] std::string summary() const override {
        return "Vignetting and fixed pattern: what the camera adds to every frame, from many frames";
    }
    [[nodiscard]] std::string footer() const override {
        return "Frames in the order of their capture: the two halves show the uncertainty.\n"
               "Examples:\n"
               "  heatrow calibrate flat-field frames/ --out flat.tif                # frames of a flight\n"
               "  heatrow calibrate flat-field wall/ --flat --scale 0.01             # an even surface, figures in K "
               "too\n"
               "  heatrow calibrate flat-field frames/ --nodata 0 --json";
    }
    void set_up(CLI::App& app) override {
        app.add_option("frames", given_, "Frames, or folders of them")->required();
        app.add_flag("--flat", flat_, "An even surface filled every frame, so that nothing need move");
        app.add_option("--nodata", nodata_, "Count that means no data");
        app.add_option("--scale", scale_k_, "K per count: figures are given in K too");
        app.add_option(
               "--most-frames", most_frames_, "Of more frames so many are taken, spread evenly; bounds the memory")
            ->check(CLI::Range(1, 100000))
            ->capture_default_str();
        app.add_option("--profile", profile_, "Profile with the limits of a calibration")->capture_default_str();
        app.add_option("-o,--out", out_, "Write the map, a TIFF of floats in counts, to be subtracted from frames");
        app.add_flag("--overwrite", overwrite_, "Replace that file");
        app.add_flag("--json", json_, "Print JSON");
        app.add_flag("-q,--quiet", quiet_, "No progress and no notes on stderr");
    }
    ExitCode run() override;

  private:
    struct Frames {
        std::vector<Image<float>> counts;
        std::vector<std::string> unreadable;
        std::size_t given = 0;
    };
    [[nodiscard]] Frames read() const;
    [[nodiscard]] std::string in_counts(double counts) const;
    [[nodiscard]] std::string part_text(std::string_view name, const FlatFieldPart& part) const;
    [[nodiscard]] std::string text(const FlatField& result, const Frames& frames) const;
    [[nodiscard]] std::string json_text(const FlatField& result, const Frames& frames) const;
    [[nodiscard]] static std::vector<std::string> warnings(const FlatField& result);

    std::vector<fs::path> given_;
    bool flat_ = false;
    std::optional<double> nodata_;
    std::optional<double> scale_k_;
    std::size_t most_frames_ = 400;
    std::string profile_ = "field-practice";
    std::optional<fs::path> out_;
    bool overwrite_ = false;
    bool json_ = false;
    bool quiet_ = false;
};

CalibrateFlatField::Frames CalibrateFlatField::read() const {
    const std::vector<fs::path> files = listed_files(given_);
    const std::size_t count = std::min(files.size(), most_frames_);
    Frames frames;
    frames.given = files.size();
    ProgressLine line(quiet_);
    for (std::size_t i = 0; i < count; ++i) {
        stop_if_interrupted();
        auto frame = read_frame(files[i * files.size() / count]);
        line.update("read frames", i + 1, count);
        if (!frame) {
            frames.unreadable.push_back(frame.error().detail);
            continue;
        }
        if (nodata_) {
            const auto missing = static_cast<float>(*nodata_);
            for (float& value : frame->counts.pixels()) {
                value = value == missing ? std::numeric_limits<float>::quiet_NaN() : value;
            }
        }
        frames.counts.push_back(std::move(frame->counts));
    }
    return frames;
}

std::string CalibrateFlatField::in_counts(double counts) const {
    return scale_k_ ? fmt::format("{:.2f} counts = {:.3f} K", counts, counts * std::abs(*scale_k_))
                    : fmt::format("{:.2f} counts", counts);
}

std::string CalibrateFlatField::part_text(std::string_view name, const FlatFieldPart& part) const {
    return fmt::format("{}: sigma {}, peak to peak {}, standard uncertainty {}{}\n",
                       name,
                       in_counts(part.sigma),
                       in_counts(part.peak_to_peak),
                       in_counts(part.u),
                       part.in_map ? "" : "; left out of the map");
}

std::vector<std::string> CalibrateFlatField::warnings(const FlatField& result) {
    std::vector<std::string> texts;
    if (!result.vignetting.in_map) {
        texts.emplace_back(
            "the vignetting is too uncertain and is left out of the map: give more frames, or a flat scene");
    }
    if (!result.fixed_pattern.in_map) {
        texts.emplace_back("the fixed pattern is too uncertain and is left out of the map: give more frames");
    }
    return texts;
}

std::string CalibrateFlatField::text(const FlatField& result, const Frames& frames) const {
    std::string out = fmt::format("{} of {} frames, {:.0f} % of their variance changes from frame to frame\n",
                                  result.frames,
                                  frames.given,
                                  100.0 * result.moving_share);
    out += part_text("vignetting", result.vignetting);
    out += part_text("fixed pattern", result.fixed_pattern);
    out += fmt::format("  of it rows {}, columns {}\n", in_counts(result.row_sigma), in_counts(result.column_sigma));
    if (out_) {
        out += fmt::format("map: {}\n", out_->string());
    }
    return out;
}

std::string CalibrateFlatField::json_text(const FlatField& result, const Frames& frames) const {
    const auto part = [](const FlatFieldPart& figures) {
        nlohmann::ordered_json json;
        json["sigma_counts"] = figures.sigma;
        json["peak_to_peak_counts"] = figures.peak_to_peak;
        json["u_counts"] = figures.u;
        json["in_map"] = figures.in_map;
        return json;
    };
    nlohmann::ordered_json json;
    json["schema"] = "heatrow-calibrate-flat-field/1";
    json["frames"] = result.frames;
    json["frames_given"] = frames.given;
    json["unreadable"] = frames.unreadable;
    json["flat_scene"] = flat_;
    json["moving_share"] = result.moving_share;
    json["vignetting"] = part(result.vignetting);
    json["fixed_pattern"] = part(result.fixed_pattern);
    json["row_sigma_counts"] = result.row_sigma;
    json["column_sigma_counts"] = result.column_sigma;
    json["kelvin_per_count"] = scale_k_ ? nlohmann::ordered_json(std::abs(*scale_k_)) : nlohmann::ordered_json();
    json["map"] = out_ ? nlohmann::ordered_json(out_->string()) : nlohmann::ordered_json();
    json["warnings"] = warnings(result);
    return json.dump(2) + "\n";
}

ExitCode CalibrateFlatField::run() {
    if (out_) {
        require_free_file(*out_, overwrite_);
    }
    const Profile profile = read_profile(find_profile(profile_, {}));
    const Frames frames = read();
    if (!quiet_) {
        for (const std::string& reason : frames.unreadable) {
            fmt::print(stderr, "note: not read: {}\n", reason);
        }
    }
    const FlatField result = estimate_flat_field(frames.counts,
                                                 flat_,
                                                 {static_cast<int>(profile.least_flat_frames.value),
                                                  profile.least_moving_share.value,
                                                  profile.least_flat_ratio.value});
    if (out_) {
        publish_file(*out_, encode_float_tiff(result.offset.view()), overwrite_);
    }
    if (!quiet_) {
        for (const std::string& warning : warnings(result)) {
            fmt::print(stderr, "warning: {}\n", warning);
        }
    }
    fmt::print("{}", json_ ? json_text(result, frames) : text(result, frames));
    return ExitCode::done;
}

}  // namespace

std::unique_ptr<Job> make_calibrate_flat_field() {
    return std::make_unique<CalibrateFlatField>();
}

}  // namespace heatrow::cli
