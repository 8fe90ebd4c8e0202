#include "calibrate_job.hpp"
#include "command.hpp"
#include "heatrow/io/frame_set.hpp"

namespace heatrow::cli {
namespace {

class CalibrateCommand : public CommandOfJobs {
  public:
    CalibrateCommand()
        : CommandOfJobs(jobs_of(make_calibrate_camera(),
                                make_calibrate_flat_field(),
                                make_calibrate_reflected(),
                                make_calibrate_emissivity())) {}
    [[nodiscard]] std::string name() const override { return "calibrate"; }
    [[nodiscard]] std::string summary() const override {
        return "What is this camera, what does it look at? Lens from board frames, flat field from many frames; "
               "reflected "
               "temperature and emissivity from areas of a frame";
    }
    [[nodiscard]] std::vector<std::string> examples() const override {
        return {"heatrow calibrate camera board/*.tif --board 6x5 --square 0.1   # lens from frames of a heated board",
                "heatrow calibrate flat-field frames/ --out flat.tif             # what the camera adds to every frame",
                "heatrow calibrate reflected foil.tif --scale 0.01 --unit K --foil rect:300,240,40,40 "
                "--foil-temperature 24",
                "heatrow calibrate emissivity a.tif --scale 0.01 --unit K --object rect:80,60,20,20 --reflected -20 "
                "--contact "
                "60"};
    }
};

}  // namespace

std::vector<std::filesystem::path> listed_files(const std::vector<std::filesystem::path>& given) {
    std::vector<std::filesystem::path> files;
    for (const std::filesystem::path& path : given) {
        if (!std::filesystem::is_directory(path)) {
            files.push_back(path);
            continue;
        }
        for (const FrameFile& frame : list_frames(path, "*")) {
            files.push_back(frame.path);
        }
    }
    return files;
}

std::unique_ptr<Command> make_calibrate_command() {
    return std::make_unique<CalibrateCommand>();
}

}  // namespace heatrow::cli
