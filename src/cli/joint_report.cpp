#include "joint_report.hpp"

#include "heatrow/report/joint_page.hpp"
#include "heatrow/report/thermal_picture.hpp"
#include "joint_texts.hpp"
#include "version.hpp"

#include <fmt/format.h>

namespace heatrow::cli {
namespace {

// Sentences for a terminal, with the signs that a page can show.
std::string for_page(std::string text) {
    for (const auto& [plain, sign] : {std::pair{"+-", "±"}, {"degC", "°C"}}) {
        for (std::size_t at = text.find(plain); at != std::string::npos; at = text.find(plain, at)) {
            text.replace(at, std::string_view(plain).size(), sign);
        }
    }
    return text;
}

std::string looked_at_words(const JointReading& reading) {
    const std::string surface = surface_words(reading.surface);
    return reading.surface == JointSurface::contact_probe ? surface
                                                          : fmt::format("{}, {:g}", surface, reading.emissivity);
}

std::string timing_words(const JointRow& row) {
    const auto minutes = [](const std::optional<double>& value) {
        return value ? fmt::format("{:g}", *value) : std::string("?");
    };
    return fmt::format("{} min, {} min", minutes(row.cover_open_min), minutes(row.load_held_min));
}

std::string step_words(const JointStep& step) {
    return fmt::format(
        "{:g} K over the {}", step.from.value(), step.comparison == JointComparison::air ? "air" : "siblings");
}

JointLine line_of(const JointSurvey& survey, std::size_t i) {
    const JointRow& row = survey.list.rows[i];
    const JointReading& reading = survey.readings[i];
    const JointResult& result = survey.results[i];
    JointLine line;
    line.id = row.id;
    line.group = row.group;
    line.phase = row.phase;
    line.surface = looked_at_words(reading);
    line.temperature = reading.temperature;
    line.current_a = reading.current_a;
    line.rated_a = reading.rated_a;
    line.load_fraction = result.load_fraction;
    line.rise = result.rise;
    line.rise_at_load = result.rise_at_load;
    line.over_siblings = result.over_siblings;
    line.lower_bound = result.lower_bound;
    line.evidence = for_page(joint_evidence(survey, i));
    line.timing = timing_words(row);
    line.note = row.note;
    for (std::string& reason : joint_reasons(survey, i)) {
        line.reasons.push_back(for_page(std::move(reason)));
    }
    if (result.verdict) {
        line.abnormality = result.verdict->abnormality;
        line.probability = result.verdict->probability;
        if (result.verdict->step >= 0) {
            const JointStep& step = survey.profile.steps[static_cast<std::size_t>(result.verdict->step)];
            line.action = step.action;
            line.limit = fmt::format("Step of the profile: {}. Source: {}", step_words(step), step.source);
        }
    }
    return line;
}

// Limits of one scale for all thermograms of the list, so that they compare.
ShownRange common_range(const JointSurvey& survey) {
    ShownRange all;
    for (const JointFrame& frame : survey.frames) {
        all = united(all, range_of(frame.apparent_c.view()));
    }
    return rounded_out(all);
}

JointPageFrame frame_of(const JointSurvey& survey, const JointFrame& frame, ShownRange range) {
    ThermalPicture picture;
    picture.temperature_c = frame.apparent_c.view();
    picture.scale = TemperatureScale(range.low, range.high, Palette::inferno);
    picture.title = frame.name;
    picture.subtitle = fmt::format(
        "{} x {} px, apparent temperatures (emissivity 1)", frame.apparent_c.width(), frame.apparent_c.height());
    for (const int joint : frame.joints) {
        const auto i = static_cast<std::size_t>(joint);
        const JointReading& reading = survey.readings[i];
        PictureMark mark;
        mark.name = reading.id;
        mark.value = reading.temperature.is_known() ? fmt::format("{:.1f} °C", reading.temperature.value())
                                                    : std::string("not judged");
        mark.outline_px = outline_of(*survey.list.rows[i].area);
        mark.level = reading.temperature;
        if (survey.spots[i].x >= 0) {
            mark.spot_px = Eigen::Vector2d(survey.spots[i].x, survey.spots[i].y);
        }
        picture.marks.push_back(std::move(mark));
    }
    picture.notes = {
        "Tags: the hottest 3 x 3 pixels of each area, corrected for its emissivity and reflection; the flags on the "
        "scale "
        "stand at the same temperatures. Above the scale: how often each apparent temperature occurs in the picture "
        "(by "
        "the square root)."};
    return {frame.name, thermal_picture_svg(picture)};
}

}  // namespace

std::string joints_as_html(const JointSurvey& survey) {
    const JointProfile& profile = survey.profile;
    JointPage page;
    page.program = fmt::format("heatrow {}", kVersion);
    page.list = std::filesystem::path(survey.list.name).filename().string();
    page.profile = fmt::format("{} {}", profile.id, profile.version);
    page.profile_title = profile.title;
    page.load_words = load_words(profile.load);
    for (std::size_t i = 0; i < survey.results.size(); ++i) {
        page.joints.push_back(line_of(survey, i));
    }
    if (!survey.frames.empty()) {
        const ShownRange range = common_range(survey);
        for (const JointFrame& frame : survey.frames) {
            page.frames.push_back(frame_of(survey, frame, range));
        }
    }
    for (const JointProfileKey& key : kJointProfileKeys) {
        const JointLimit& limit = profile.*key.member;
        page.figures.push_back({std::string(key.name), fmt::format("{:g}", limit.value), for_page(limit.source)});
    }
    for (const JointStep& step : profile.steps) {
        page.steps.push_back({step_words(step),
                              fmt::format("class {}: {}", static_cast<int>(step.abnormality), step.action),
                              step.source});
    }
    page.cautions.assign(kJointCautions.begin(), kJointCautions.end());
    return joint_page_html(page);
}

}  // namespace heatrow::cli
