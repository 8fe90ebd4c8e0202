#include "apparent_frame.hpp"
#include "calibrate_job.hpp"
#include "heatrow/io/data_folder.hpp"
#include "heatrow/io/profile_reader.hpp"
#include "heatrow/measure/apparent_area.hpp"

#include <fmt/format.h>

namespace heatrow::cli {
namespace {

class CalibrateReflected : public Job {
  public:
    [[nodiscard]] std::string name() const override { return "reflected"; }
    [[nodiscard]] std::string summary() const override {
        return "Reflected apparent temperature, from a crumpled foil in place of the object";
    }
    [[nodiscard]] std::string footer() const override {
        return "Crumple aluminium foil, flatten it again, lay it shiny side out in the plane of the object and aim as "
               "at\n"
               "the object, emissivity 1, distance 0. Stay out of its mirror. On a roof or beside live parts: see "
               "docs/radiometry.md.\n"
               "Examples:\n"
               "  heatrow calibrate reflected foil.tif --scale 0.01 --unit K --foil rect:300,240,40,40 "
               "--foil-temperature "
               "24\n"
               "  heatrow calibrate reflected foil.tif --scale 0.04 --unit K --foil circle:320,256,30 "
               "--foil-temperature 24 "
               "--json";
    }
    void set_up(CLI::App& app) override {
        app.add_option("frame", frame_, "Frame taken with emissivity 1, from close by")->required();
        options_.declare(app);
        app.add_option("--profile", profile_, "Profile with limits and uncertainties")->capture_default_str();
        app.add_option("--foil", foil_, "Area on the foil: rect:x,y,w,h | circle:x,y,r | polygon:x1,y1,...")
            ->required();
        app.add_option("--foil-temperature", temperature_, "Of the foil itself, degC; that of the air will do")
            ->required();
        app.add_option("--foil-temperature-u", temperature_u_, "Standard uncertainty, K")
            ->check(CLI::NonNegativeNumber)
            ->capture_default_str();
        app.add_option("--foil-emissivity", emissivity_, "Default: the profile's");
        app.add_option("--foil-emissivity-u", emissivity_u_, "Standard uncertainty; default: the profile's")
            ->check(CLI::NonNegativeNumber);
        app.add_flag("--json", json_, "Print JSON");
    }
    ExitCode run() override;

  private:
    ThermogramOptions options_{"cannot determine the reflected temperature"};
    std::filesystem::path frame_;
    std::string profile_ = "field-practice";
    std::string foil_;
    double temperature_ = kNaN;
    double temperature_u_ = 2.0;
    std::optional<double> emissivity_;
    std::optional<double> emissivity_u_;
    bool json_ = false;
};

ExitCode CalibrateReflected::run() {
    const Profile profile = read_profile(find_profile(profile_, {}));
    const BandRadiance band(options_.band());
    const Thermogram thermogram = read_apparent_frame(frame_, options_, profile, band);
    ReflectorReading reading;
    reading.foil = apparent_area(thermogram, area_of("--foil", foil_));
    reading.emissivity = {emissivity_.value_or(profile.reflector_emissivity.value),
                          emissivity_u_.value_or(profile.reflector_emissivity_u.value)};
    reading.temperature = {Celsius(temperature_), temperature_u_};
    const Determination found = reflected_by_reflector(reading, camera_of(options_), band);
    if (json_) {
        nlohmann::ordered_json json;
        json["schema"] = "heatrow-calibrate-reflected/1";
        json["frame"] = frame_.string();
        json["profile"] = profile.id;
        json["foil_apparent_c"] = reading.foil.mean.value();
        json["reflected_c"] = determination_as_json(found);
        fmt::print("{}\n", json.dump(2));
        return ExitCode::done;
    }
    fmt::print("[temperature]\nreflected_c = {:.1f}  # +/- {:.1f} K (standard uncertainty), reflector method, {}\n",
               found.value,
               found.u(),
               frame_.filename().string());
    fmt::print(stderr,
               "foil reads {:.2f} degC; standard uncertainties in K\n{}  {:<22} {:.2f}\n",
               reading.foil.mean.value(),
               terms_as_text(found, 2),
               "together",
               found.u());
    return ExitCode::done;
}

}  // namespace

std::unique_ptr<Job> make_calibrate_reflected() {
    return std::make_unique<CalibrateReflected>();
}

}  // namespace heatrow::cli
