#include "joint_survey.hpp"

#include "heatrow/core/error.hpp"
#include "heatrow/measure/thermogram.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <memory>
#include <tuple>
#include <utility>

namespace heatrow::cli {
namespace {

namespace fs = std::filesystem;

constexpr std::string_view kFailed = "cannot judge the joints";

[[noreturn]] void fail(const JointRow& row, std::string_view field, std::string_view why, std::string_view remedy) {
    throw Error(ErrorKind::input, kFailed, fmt::format("{}, field {}", row.place, field), why, remedy);
}

// The frames of a list, each read once, and turned into object temperatures once for each surface in it.
class JointReader {
  public:
    JointReader(JointSurvey& survey,
                const JointDefaults& defaults,
                const ThermogramOptions& options,
                const Profile& general)
        : survey_(survey), defaults_(defaults), options_(options), general_(general), band_(options.band()) {}

    void read_all() {
        for (const JointRow& row : survey_.list.rows) {
            survey_.spots.emplace_back();
            survey_.readings.push_back(read(row, static_cast<int>(survey_.readings.size())));
        }
    }

  private:
    struct Frame {
        FrameCounts counts;
        TemperatureEncoding encoding;
    };
    using Surface = std::tuple<int, double, double>;  // frame, emissivity, reflected

    JointReading read(const JointRow& row, int number);
    int frame_of(const JointRow& row);
    const Thermogram& thermogram_of(int frame, const JointRow& row, double emissivity);
    void measure(const JointRow& row, JointReading& reading);
    [[nodiscard]] double emissivity_of(const JointRow& row) const;
    [[nodiscard]] ThermogramSettings settings_of(const Frame& frame, double emissivity, Celsius reflected) const;

    JointSurvey& survey_;
    const JointDefaults& defaults_;
    const ThermogramOptions& options_;
    const Profile& general_;
    BandRadiance band_;
    std::map<std::string, int> number_of_frame_;
    std::vector<Frame> frames_;
    std::map<Surface, std::unique_ptr<Thermogram>> thermograms_;
};

double JointReader::emissivity_of(const JointRow& row) const {
    switch (row.surface) {
        case JointSurface::tape:
            return row.emissivity.value_or(survey_.profile.tape_emissivity.value);
        case JointSurface::insulation:
            return row.emissivity.value_or(survey_.profile.insulation_emissivity.value);
        case JointSurface::paint:
            return row.emissivity.value_or(survey_.profile.paint_emissivity.value);
        case JointSurface::bare_metal:
        case JointSurface::contact_probe:
            break;
    }
    return row.emissivity.value_or(1.0);
}

ThermogramSettings JointReader::settings_of(const Frame& frame, double emissivity, Celsius reflected) const {
    ThermogramSettings settings;
    settings.encoding = frame.encoding;
    settings.conditions = options_.conditions(emissivity, reflected);
    settings.causes = options_.camera_causes();
    if (emissivity < 1.0) {
        settings.causes.emissivity = survey_.profile.emissivity_u.value;
        settings.causes.reflected = KelvinDelta(survey_.profile.reflected_u_k.value);
    }
    const CountSummary counts = summarise_counts(frame.counts, options_.nodata());
    if (counts.saturated > 0) {
        settings.clipped_count = static_cast<float>(counts.maximum);
    }
    return settings;
}

int JointReader::frame_of(const JointRow& row) {
    const auto [found, is_new] =
        number_of_frame_.emplace(row.thermogram.string(), static_cast<int>(survey_.frames.size()));
    if (is_new) {
        const fs::path file = fs::path(survey_.list.name).parent_path() / row.thermogram;
        if (!fs::is_regular_file(file)) {
            fail(row,
                 "thermogram",
                 fmt::format("there is no file '{}'", file.string()),
                 "Paths are relative to the list's folder");
        }
        Frame frame;
        frame.counts = options_.read(file);
        frame.encoding = options_.encoding(file, frame.counts, general_);
        const Thermogram apparent(
            std::as_const(frame).counts.counts.view(), settings_of(frame, 1.0, Celsius(kNaN)), band_);
        JointFrame shown{row.thermogram.string(), {}, {}};
        const auto view = apparent.temperature_c();
        shown.apparent_c = Image<float>(view.width(), view.height());
        for (int y = 0; y < view.height(); ++y) {
            std::copy_n(view.row(y), view.width(), shown.apparent_c.view().row(y));
        }
        frames_.push_back(std::move(frame));
        survey_.frames.push_back(std::move(shown));
    }
    return found->second;
}

const Thermogram& JointReader::thermogram_of(int number, const JointRow& row, double emissivity) {
    const auto reflected = row.reflected_c ? row.reflected_c : defaults_.reflected_c;
    if (emissivity < 1.0 && !reflected) {
        fail(row,
             "reflected_c",
             fmt::format("the field is empty, at an emissivity of {:g}", emissivity),
             "Fill it or give --reflected: what the surface mirrors, in a closed room near the temperature of its "
             "walls");
    }
    const double mirrored = emissivity < 1.0 ? *reflected : 0.0;
    auto& thermogram = thermograms_[{number, emissivity, mirrored}];
    if (!thermogram) {
        const Frame& frame = frames_[static_cast<std::size_t>(number)];
        thermogram = std::make_unique<Thermogram>(
            frame.counts.counts.view(), settings_of(frame, emissivity, Celsius(mirrored)), band_);
    }
    return *thermogram;
}

void JointReader::measure(const JointRow& row, JointReading& reading) {
    reading.frame = frame_of(row);
    if (mirrors(reading, survey_.profile)) {
        return;  // no temperature to be had
    }
    const AreaResult area = thermogram_of(reading.frame, row, reading.emissivity).measure({row.id, *row.area});
    if (area.figures.pixels == 0) {
        const auto& picture = survey_.frames[static_cast<std::size_t>(reading.frame)].apparent_c;
        fail(row,
             "area",
             fmt::format("it lies outside the picture of {} x {} px", picture.width(), picture.height()),
             "Give pixels of this thermogram, from 0 0 at the top left");
    }
    const BudgetedTemperature& taken = area.too_small ? area.mean : area.hottest;
    reading.temperature = taken.value;
    survey_.spots.back() = area.figures.hottest_3x3.at;
    const UncertaintyBudget& budget = taken.budget;
    reading.budget.offset_k =
        combine_independent(budget.term_k(UncertaintyTerm::camera_offset), budget.term_k(UncertaintyTerm::camera_gain));
    double own = 0.0;
    for (std::size_t i = 0; i < kUncertaintyTermCount; ++i) {
        const auto term = static_cast<UncertaintyTerm>(i);
        if (term != UncertaintyTerm::camera_offset && term != UncertaintyTerm::camera_gain) {
            own = combine_independent(own, budget.term_k(term));
        }
    }
    reading.budget.own_k = own;
    if (area.too_small) {
        reading.flags.set(JointFlag::too_few_pixels);
    }
    if (area.flags.has(Flag::clipped)) {
        reading.flags.set(JointFlag::clipped);
    }
}

JointReading JointReader::read(const JointRow& row, int number) {
    const JointProfile& profile = survey_.profile;
    JointReading reading;
    reading.id = row.id;
    reading.group = row.group;
    const auto air = row.air_c ? row.air_c : defaults_.air_c;
    if (!air) {
        fail(row, "air_c", "the field is empty", "Fill it or give --air: the air beside the joint, degC");
    }
    reading.air = {Celsius(*air), profile.air_u_k.value};
    reading.current_a = row.current_a;
    reading.current_u_a = row.current_u_a;
    reading.rated_a = row.rated_a;
    reading.surface = row.surface;
    reading.emissivity = emissivity_of(row);
    reading.cover_open_min = row.cover_open_min;
    reading.load_held_min = row.load_held_min;
    if (row.temperature_c) {
        reading.temperature = Celsius(*row.temperature_c);
        reading.budget.own_k = row.temperature_u_k.value_or(profile.temperature_u_k.value);
    } else {
        measure(row, reading);
        survey_.frames[static_cast<std::size_t>(reading.frame)].joints.push_back(number);
    }
    return reading;
}

}  // namespace

JointSurvey survey_joints(JointList list,
                          const JointProfile& profile,
                          const JointDefaults& defaults,
                          const ThermogramOptions& options,
                          const Profile& general) {
    JointSurvey survey;
    survey.list = std::move(list);
    survey.profile = profile;
    JointReader(survey, defaults, options, general).read_all();
    survey.results = judge_joints(survey.readings, survey.profile);
    return survey;
}

}  // namespace heatrow::cli
