// board_check PROGRAM PROJECT: calibrates a camera from the sixteen open frames of a heated board and compares with the
// band that their source note gives, and with the worked example of docs/calibration.md.
//
// The band: all 47 frames of the full set, calibrated once with a general library: RMS 1.37 px, fx 637.2 px, "a sanity
// band (fx within 2 %), not a truth". The sixteen frames here give a focal length of their own with its own
// uncertainty, so what is asked is that the band and the 95 % interval of the fit overlap; both plain figures are
// printed.
#include "support/program.hpp"

#include <nlohmann/json.hpp>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <sstream>

namespace {

namespace fs = std::filesystem;

constexpr int kNotRun = 77;
constexpr double kStatedFx = 637.2;
constexpr double kStatedRms = 1.37;
constexpr double kBand = 0.02;
constexpr std::size_t kFrames = 16;

bool check(bool holds, const std::string& what) {
    std::cout << (holds ? "ok      " : "FAILED  ") << what << "\n";
    return holds;
}

std::string text_of(double value) {
    std::ostringstream out;
    out << value;
    return out.str();
}

// The number after `key = ` in the worked example.
double in_example(const fs::path& page, const std::string& key) {
    std::ostringstream text;
    text << std::ifstream(page).rdbuf();
    const std::string all = text.str();
    const auto at = all.find("\n" + key);
    return at == std::string::npos ? std::nan("") : std::strtod(all.c_str() + at + 1 + key.size(), nullptr);
}

}  // namespace

int main(int argc, char** argv) {
    if (argc != 3) {
        return 2;
    }
    const fs::path project = argv[2];
    const char* named = std::getenv("HEATROW_REAL_DATA");
    const fs::path folder = (named != nullptr ? fs::path(named) : project / ".." / "shared" / "real") / "board";
    if (!fs::is_directory(folder)) {
        std::cout << "not run: " << folder << " is missing (set HEATROW_REAL_DATA)\n";
        return kNotRun;
    }
    std::vector<std::string> arguments{"calibrate", "camera"};
    for (const fs::directory_entry& entry : fs::directory_iterator(folder)) {
        if (entry.path().extension() == ".jpg") {
            arguments.push_back(entry.path().string());
        }
    }
    std::sort(arguments.begin() + 2, arguments.end());
    arguments.insert(arguments.end(), {"--board", "6x5", "--square", "0.1", "--json"});
    const auto result = heatrow::testing::run_program(argv[1], arguments);
    std::cout << result.err;
    if (!check(result.exit_code == 0, "exit code " + std::to_string(result.exit_code))) {
        return 1;
    }
    const auto json = nlohmann::json::parse(result.out);
    const double rms = json["rms_px"];
    const double fx = json["focal_xy_px"][0];
    const double fx_u = json["focal_xy_u_px"][0];
    const double deviation = std::abs(fx - kStatedFx) / kStatedFx;
    const fs::path page = project / "docs" / "calibration.md";
    const double example_focal = in_example(page, "focal_px = ");
    const double example_rms = in_example(page, "# RMS ");
    std::cout << "fx " << fx << " px, standard uncertainty " << fx_u << " px: " << 100.0 * deviation << " % from "
              << kStatedFx << " px, " << (deviation <= kBand ? "inside" : "outside") << " the 2 % band as it stands\n";

    bool fine = check(json["frames"].size() == kFrames, "the board is found in all sixteen frames");
    fine &= check(json["frames_8_bit"] == kFrames, "all are noticed as 8-bit pictures");
    fine &= check(rms <= kStatedRms, "RMS " + text_of(rms) + " px, no worse than " + text_of(kStatedRms) + " px");
    fine &= check(deviation <= kBand + 1.96 * fx_u / kStatedFx, "the 2 % band and the 95 % interval of fx overlap");
    fine &= check(std::abs(json["focal_px"].get<double>() - example_focal) < 0.5,
                  "focal length of docs/calibration.md: " + text_of(example_focal) + " px");
    fine &= check(std::abs(rms - example_rms) < 0.01, "RMS of docs/calibration.md: " + text_of(example_rms) + " px");
    return fine ? 0 : 1;
}
