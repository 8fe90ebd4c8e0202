#include "apparent_frame.hpp"
#include "calibrate_job.hpp"
#include "heatrow/core/error.hpp"
#include "heatrow/io/data_folder.hpp"
#include "heatrow/io/profile_reader.hpp"
#include "heatrow/measure/apparent_area.hpp"

#include <fmt/format.h>

namespace heatrow::cli {
namespace {

class CalibrateEmissivity : public Job {
  public:
    [[nodiscard]] std::string name() const override { return "emissivity"; }
    [[nodiscard]] std::string summary() const override {
        return "Emissivity of a surface, by contact thermometer or by a reference material on it";
    }
    [[nodiscard]] std::string footer() const override {
        return "The object at least 10 K warmer or colder than what it reflects, and steady. 'heatrow calibrate "
               "reflected'\n"
               "gives --reflected first. Never touch or tape what may be live: that is for qualified people after "
               "switching off.\n"
               "Examples:\n"
               "  heatrow calibrate emissivity a.tif --scale 0.01 --unit K --object rect:80,60,20,20 --reflected -20 "
               "--contact 60\n"
               "  heatrow calibrate emissivity a.tif --scale 0.01 --unit K --object rect:80,60,20,20 --reflected -20 "
               "\\\n"
               "      --reference rect:120,60,20,20 --reference-emissivity 0.96          # black vinyl tape beside it";
    }
    void set_up(CLI::App& app) override {
        app.add_option("frame", frame_, "Frame taken with emissivity 1, from close by")->required();
        options_.declare(app);
        app.add_option("--profile", profile_, "Profile with limits and uncertainties")->capture_default_str();
        app.add_option("--object", object_, "Area on the object: rect:x,y,w,h | circle:x,y,r | polygon:x1,y1,...")
            ->required();
        app.add_option("--reflected", reflected_, "Reflected apparent temperature, degC")->required();
        app.add_option("--reflected-u", reflected_u_, "Standard uncertainty, K; default: the profile's")
            ->check(CLI::NonNegativeNumber);
        auto* contact = app.add_option("--contact", contact_, "Surface temperature by contact thermometer, degC");
        app.add_option("--contact-u", contact_u_, "Standard uncertainty, K")
            ->check(CLI::NonNegativeNumber)
            ->capture_default_str()
            ->needs(contact);
        auto* reference = app.add_option("--reference", reference_, "Area on tape or paint of known emissivity");
        reference->excludes(contact);
        app.add_option("--reference-emissivity", reference_emissivity_, "Of that material")->needs(reference);
        app.add_option("--reference-emissivity-u", reference_emissivity_u_, "Standard uncertainty")
            ->check(CLI::NonNegativeNumber)
            ->capture_default_str()
            ->needs(reference);
        app.add_flag("--json", json_, "Print JSON");
    }
    ExitCode run() override;

  private:
    [[nodiscard]] Determination determine(const Thermogram& thermogram,
                                          const Profile& profile,
                                          const BandRadiance& band) const;

    ThermogramOptions options_{"cannot determine the emissivity"};
    std::filesystem::path frame_;
    std::string profile_ = "field-practice";
    std::string object_;
    double reflected_ = kNaN;
    std::optional<double> reflected_u_;
    std::optional<double> contact_;
    double contact_u_ = 0.5;
    std::string reference_;
    std::optional<double> reference_emissivity_;
    double reference_emissivity_u_ = 0.01;
    bool json_ = false;
};

Determination CalibrateEmissivity::determine(const Thermogram& thermogram,
                                             const Profile& profile,
                                             const BandRadiance& band) const {
    const CameraUncertainties camera = camera_of(options_);
    const EmissivityLimits limits{KelvinDelta(profile.least_emissivity_contrast_k.value),
                                  profile.most_emissivity_u.value};
    const Uncertain<Celsius> reflected{Celsius(reflected_), reflected_u_.value_or(profile.reflected_u_k.value)};
    const ApparentArea object = apparent_area(thermogram, area_of("--object", object_));
    if (contact_) {
        return emissivity_by_contact({object, {Celsius(*contact_), contact_u_}, reflected}, camera, limits, band);
    }
    if (reference_.empty() || !reference_emissivity_) {
        throw Error(ErrorKind::usage,
                    "cannot determine the emissivity",
                    "--contact, --reference",
                    "neither a contact temperature nor a reference area with its emissivity is given",
                    "Give --contact, or --reference with --reference-emissivity");
    }
    return emissivity_by_reference({object,
                                    apparent_area(thermogram, area_of("--reference", reference_)),
                                    {*reference_emissivity_, reference_emissivity_u_},
                                    reflected},
                                   camera,
                                   limits,
                                   band);
}

ExitCode CalibrateEmissivity::run() {
    const Profile profile = read_profile(find_profile(profile_, {}));
    const BandRadiance band(options_.band());
    const Thermogram thermogram = read_apparent_frame(frame_, options_, profile, band);
    const Determination found = determine(thermogram, profile, band);
    const char* method = contact_ ? "contact thermometer" : "reference material";
    if (json_) {
        nlohmann::ordered_json json;
        json["schema"] = "heatrow-calibrate-emissivity/1";
        json["frame"] = frame_.string();
        json["profile"] = profile.id;
        json["method"] = method;
        json["emissivity"] = determination_as_json(found);
        fmt::print("{}\n", json.dump(2));
        return ExitCode::done;
    }
    fmt::print("[temperature]\nemissivity = {:.3f}  # +/- {:.3f} (standard uncertainty), {}, {}\n",
               found.value,
               found.u(),
               method,
               frame_.filename().string());
    fmt::print(stderr, "standard uncertainties\n{}  {:<22} {:.4f}\n", terms_as_text(found, 4), "together", found.u());
    return ExitCode::done;
}

}  // namespace

std::unique_ptr<Job> make_calibrate_emissivity() {
    return std::make_unique<CalibrateEmissivity>();
}

}  // namespace heatrow::cli
