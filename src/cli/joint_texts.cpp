#include "joint_texts.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace heatrow::cli {
namespace {

// "LIST, line 4, field current_a".
std::string field_of(const JointRow& row, std::string_view field) {
    return fmt::format("{}, field {}", row.place, field);
}

class ReasonWriter {
  public:
    ReasonWriter(const JointSurvey& survey, std::size_t joint)
        : profile_(survey.profile),
          row_(survey.list.rows[joint]),
          reading_(survey.readings[joint]),
          result_(survey.results[joint]) {}

    [[nodiscard]] std::string of(JointFlag flag) const {
        switch (flag) {
            case JointFlag::current_zero:
                return fmt::format(
                    "{}: 0 A: without current there is no rise to scale. Measure it under at least {:.3g} A",
                    field_of(row_, "current_a"),
                    least_current());
            case JointFlag::load_below_minimum:
                return fmt::format(
                    "{}: {:g} A is {:.0f} % of {:g} A, less than the {:.0f} % that the profile asks for: "
                    "not judged. Measure it under at least {:.3g} A",
                    field_of(row_, "current_a"),
                    row_.current_a,
                    100.0 * result_.load_fraction,
                    row_.rated_a,
                    100.0 * profile_.minimum_load_fraction.value,
                    least_current());
            case JointFlag::emissivity_too_low:
                return fmt::format(
                    "{}: {} of emissivity {:g}, below {:g}, shows mostly what it mirrors: not judged. "
                    "Measure tape or insulation beside it",
                    field_of(row_, row_.emissivity ? "emissivity" : "surface"),
                    surface_words(reading_.surface),
                    reading_.emissivity,
                    profile_.least_emissivity.value);
            case JointFlag::temperature_unknown:
                return fmt::format(
                    "{}: the area holds no temperature: no data, or colder than the stated reflection "
                    "allows. Check area, emissivity and reflected temperature",
                    field_of(row_, "area"));
            case JointFlag::no_sibling:
                return fmt::format(
                    "{}: '{}' holds no other joint that could be judged: no difference. Measure its "
                    "siblings too",
                    field_of(row_, "group"),
                    row_.group);
            case JointFlag::clipped:
                return fmt::format(
                    "{}: pixels at the end of the camera's range: at least this hot. Take it again in a "
                    "higher range",
                    field_of(row_, "area"));
            case JointFlag::too_few_pixels:
                return fmt::format(
                    "{}: it holds no 3 x 3 pixels: blurred with what is around it, at least this hot. Go "
                    "nearer only where that is safe, or use a longer lens",
                    field_of(row_, "area"));
            case JointFlag::load_not_settled:
                return fmt::format(
                    "{}: load held for {:g} min, less than {:g} min: not warmed through, at least this hot",
                    field_of(row_, "load_held_min"),
                    *row_.load_held_min,
                    profile_.least_load_held_min.value);
            case JointFlag::load_time_unknown:
                return fmt::format("{}: nobody noted how long the load was held", field_of(row_, "load_held_min"));
            case JointFlag::cover_open_long:
                return fmt::format(
                    "{}: {:g} min after the cover was opened, more than {:g} min: cooled, at least this "
                    "hot behind the closed cover",
                    field_of(row_, "cover_open_min"),
                    *row_.cover_open_min,
                    profile_.most_cover_open_min.value);
            case JointFlag::cover_time_unknown:
                return fmt::format("{}: nobody noted when the cover was opened", field_of(row_, "cover_open_min"));
            case JointFlag::cooler_than_air:
                return fmt::format(
                    "{}: {:.1f} degC is cooler than the air of {:.1f} degC. Check air and reflected "
                    "temperature",
                    field_of(row_, row_.temperature_c ? "temperature_c" : "area"),
                    reading_.temperature.value(),
                    reading_.air.value.value());
            case JointFlag::above_rated:
                return fmt::format("{}: {:g} A is more than the rated {:g} A: overloaded, whatever its temperature",
                                   field_of(row_, "current_a"),
                                   row_.current_a,
                                   row_.rated_a);
        }
        return {};
    }

  private:
    [[nodiscard]] double least_current() const { return profile_.minimum_load_fraction.value * row_.rated_a; }
    const JointProfile& profile_;
    const JointRow& row_;
    const JointReading& reading_;
    const JointResult& result_;
};

}  // namespace

std::string surface_words(JointSurface surface) {
    std::string name(to_string(surface));
    std::replace(name.begin(), name.end(), '_', ' ');
    return name;
}

std::string_view load_words(JointLoad load) {
    return load == JointLoad::rated ? "at rated current" : "at the joint's own load";
}

std::string plus_minus(const Uncertain<KelvinDelta>& value, bool lower_bound) {
    if (!value.is_known()) {
        return "-";
    }
    return fmt::format("{}{:.1f} +- {:.1f}", lower_bound ? "at least " : "", value.value.value(), value.u95());
}

std::vector<std::string> joint_reasons(const JointSurvey& survey, std::size_t joint) {
    const ReasonWriter writer(survey, joint);
    std::vector<std::string> reasons;
    for (const JointFlag flag : survey.results[joint].flags.list()) {
        reasons.push_back(writer.of(flag));
    }
    return reasons;
}

std::string joint_evidence(const JointSurvey& survey, std::size_t joint) {
    const JointReading& reading = survey.readings[joint];
    const JointResult& result = survey.results[joint];
    if (!result.rise.is_known()) {
        return {};
    }
    std::string text = fmt::format("{:.1f} degC, {} K over air of {:.1f} degC at {:g} of {:g} A",
                                   reading.temperature.value(),
                                   plus_minus(result.rise),
                                   reading.air.value.value(),
                                   reading.current_a,
                                   reading.rated_a);
    if (result.rise_at_rated.is_known()) {
        text += fmt::format("; {} K over air at rated current (exponent {:g}, {:g} to {:g})",
                            plus_minus(result.rise_at_rated, result.lower_bound),
                            survey.profile.exponent.value,
                            survey.profile.exponent_low.value,
                            survey.profile.exponent_high.value);
    }
    if (result.over_siblings.is_known()) {
        const int n = result.siblings;
        text += fmt::format("; {} K over {} {}",
                            plus_minus(result.over_siblings, result.lower_bound),
                            n == 1   ? std::string("its one sibling")
                            : n == 2 ? std::string("the cooler of its 2 siblings")
                                     : fmt::format("the median of its {} siblings", n),
                            load_words(survey.profile.load));
    }
    return text + ".";
}

}  // namespace heatrow::cli
