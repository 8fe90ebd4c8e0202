#include "control.hpp"

#include "heatrow/camera/posed_camera.hpp"
#include "heatrow/core/error.hpp"
#include "heatrow/core/nearest_word.hpp"
#include "heatrow/georeference/control.hpp"
#include "heatrow/georeference/flight_alignment.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

namespace heatrow {
namespace {

// Beyond what is searched: a lever arm, a boresight, the scatter of one position (own choice).
constexpr double kBeyondSearch_m = 1.0;

const std::string& frame_name(const SurveyInputs& inputs, const ControlMark& mark) {
    return inputs.files[static_cast<std::size_t>(mark.frame)].name;
}

// The step that a mark asks of its frame, or why it cannot be used.
tl::expected<LatticeOffset, std::string> step_by(const SurveyInputs& inputs,
                                                 const LayoutIndex& site,
                                                 const FrameOutcome& outcome,
                                                 const ControlMark& mark) {
    if (outcome.rejection) {
        return tl::unexpected("its frame took no part: " + outcome.rejection->detail);
    }
    auto step = offset_by(site, PosedCamera(inputs.lens, outcome.record.pose), mark);
    const auto& logged = inputs.frames.priors[static_cast<std::size_t>(mark.frame)].pose;
    if (!step || !logged) {
        return step;
    }
    const Eigen::Vector3d there =
        outcome.record.pose.position_in_site + step->along * site.pitch_along() + step->across * site.pitch_across();
    const double off_m = (there - logged->position_in_site).head<2>().norm();
    const double most_m = AlignmentOptions{}.search_horizontal.value() + kBeyondSearch_m;
    if (off_m > most_m) {
        return tl::unexpected(fmt::format(
            "it would put the frame {:.1f} m from its logged position, {:g} m at most; check name and pixel",
            off_m,
            most_m));
    }
    return step;
}

std::string in_steps(LatticeOffset step) {
    const std::string words =
        fmt::format("{} module{} along the row", std::abs(step.along), std::abs(step.along) == 1 ? "" : "s");
    return step.across == 0 ? words : fmt::format("{} and {} across", words, std::abs(step.across));
}

}  // namespace

void hold_control(const std::vector<std::string>& names, SurveyInputs& inputs) {
    std::set<std::string> known;
    for (const ControlMark& mark : inputs.marks) {
        known.insert({mark.name, frame_name(inputs, mark)});
    }
    for (const SurveyedCorner& corner : inputs.corners) {
        known.insert(corner.name);
    }
    for (const std::string& name : names) {
        if (!known.contains(name)) {
            const std::vector<std::string> words(known.begin(), known.end());
            const auto nearest = nearest_word(name, words);
            throw Error(ErrorKind::usage,
                        "nothing to hold",
                        "--hold",
                        fmt::format("no known pixel or control point has the frame or name '{:.60}'", name),
                        nearest         ? fmt::format("Did you mean '{}'?", *nearest)
                        : words.empty() ? std::string("Give known pixels or control points in survey.toml")
                                        : fmt::format("Name one that has, e.g. '{}'", words.front()));
        }
        for (ControlMark& mark : inputs.marks) {
            mark.held = mark.held || mark.name == name || frame_name(inputs, mark) == name;
        }
        for (SurveyedCorner& corner : inputs.corners) {
            corner.held = corner.held || corner.name == name;
        }
    }
}

std::vector<std::string> fit_layout(SurveyInputs& inputs) {
    const auto shift = fit_layout_shift(inputs.layout, inputs.corners);
    if (!shift) {
        return {};
    }
    const double moved_m = shift->shift_in_site.head<2>().norm();
    const ProfileValue& most_moved = inputs.profile.maximum_layout_shift_m;
    if (moved_m > most_moved.value) {
        throw Error(ErrorKind::input,
                    "layout and survey disagree",
                    inputs.settings.control->points.string(),
                    fmt::format("the surveyed corners would move the layout by {:.2f} m, {:g} m at most by the profile",
                                moved_m,
                                most_moved.value),
                    "Check the CRS of layout and points, and which corners the points are");
    }
    move_layout(*shift, inputs.layout);
    for (ControlMark& mark : inputs.marks) {
        if (mark.module >= 0) {
            mark.point_in_site = inputs.layout.modules[static_cast<std::size_t>(mark.module)].centre_in_site();
        }
    }
    double squares = 0.0;
    std::size_t used = 0;
    for (const SurveyedCorner& corner : inputs.corners) {
        const double off_m = corner_residual(inputs.layout, corner).head<2>().norm();
        if (corner.held) {
            continue;
        }
        squares += off_m * off_m;
        ++used;
        if (off_m > inputs.profile.maximum_corner_residual_m.value) {
            throw Error(
                ErrorKind::input,
                "layout and survey disagree",
                corner.where,
                fmt::format("with the layout moved onto all surveyed corners, '{}' is {:.2f} m from the corner "
                            "of module '{}', {:g} m at most by the profile",
                            corner.name,
                            off_m,
                            inputs.layout.modules[static_cast<std::size_t>(corner.module)].id,
                            inputs.profile.maximum_corner_residual_m.value),
                "Check which corner it is, its coordinates, and whether rows stand where the layout draws them");
        }
    }
    return {
        fmt::format("The layout was moved onto {} surveyed corners: {:.2f} m east, {:.2f} m north, {:.2f} m up, turned "
                    "by {:.3f} degrees; they are then {:.2f} m off (rms).{}",
                    used,
                    shift->shift_in_site.x(),
                    shift->shift_in_site.y(),
                    shift->shift_in_site.z(),
                    in_degrees(shift->turn),
                    std::sqrt(squares / static_cast<double>(used)),
                    used == 1 ? " One corner alone is compared with nothing: survey two or more." : "")};
}

KnownPlaces read_known_places(const SurveyInputs& inputs,
                              const LayoutIndex& site,
                              const std::vector<FrameOutcome>& outcomes) {
    KnownPlaces places;
    if (inputs.marks.empty()) {
        return places;
    }
    places.offsets.resize(outcomes.size());
    places.refused.resize(inputs.marks.size());
    std::vector<std::optional<std::size_t>> first_mark(outcomes.size());
    for (std::size_t m = 0; m < inputs.marks.size(); ++m) {
        const ControlMark& mark = inputs.marks[m];
        if (mark.held) {
            continue;
        }
        const auto frame = static_cast<std::size_t>(mark.frame);
        const auto step = step_by(inputs, site, outcomes[frame], mark);
        if (!step) {
            places.refused[m] = step.error();
            continue;
        }
        if (!first_mark[frame]) {
            first_mark[frame] = m;
            places.offsets[frame] = *step;
            continue;
        }
        const ControlMark& first = inputs.marks[*first_mark[frame]];
        const LatticeOffset apart = *step - places.offsets[frame].value_or(LatticeOffset{});
        if (!places.refused[*first_mark[frame]].empty() || apart != LatticeOffset{}) {
            places.refused[m] =
                fmt::format("it contradicts {} by {}; correct one of them, or hold it", first.where, in_steps(apart));
            if (places.refused[*first_mark[frame]].empty()) {
                places.refused[*first_mark[frame]] = fmt::format(
                    "it contradicts {} by {}; correct one of them, or hold it", mark.where, in_steps(apart));
            }
        }
    }
    // Of frames whose marks disagree nothing is known.
    for (std::size_t frame = 0; frame < first_mark.size(); ++frame) {
        if (first_mark[frame] && !places.refused[*first_mark[frame]].empty()) {
            places.offsets[frame].reset();
        }
    }
    return places;
}

std::vector<ControlResult> compare_control(const SurveyInputs& inputs,
                                           const LayoutIndex& site,
                                           const std::vector<FrameOutcome>& outcomes,
                                           const std::vector<FrameName>& names,
                                           const KnownPlaces& places) {
    std::vector<ControlResult> results;
    for (std::size_t m = 0; m < inputs.marks.size(); ++m) {
        const ControlMark& mark = inputs.marks[m];
        const auto frame = static_cast<std::size_t>(mark.frame);
        ControlResult result;
        result.kind = mark.module >= 0 ? ControlResult::Kind::known_pixel : ControlResult::Kind::control_point;
        result.name = mark.name;
        result.frame = mark.frame;
        result.pixel = mark.pixel;
        result.point_in_site = mark.point_in_site;
        result.detail = places.refused[m];
        if (!mark.held && result.detail.empty() && names[frame].reason == PlaceReason::control_contradicted) {
            result.detail =
                "it contradicts what frames that hang together show, or other control of them; none of these frames "
                "has a name; correct it, or hold it";
        }
        result.use = mark.held               ? ControlResult::Use::held
                     : result.detail.empty() ? ControlResult::Use::used
                                             : ControlResult::Use::refused;
        const FrameOutcome& outcome = outcomes[frame];
        if (!outcome.rejection) {
            result.placement = names[frame].named ? Placement::placed : Placement::ambiguous;
            FramePose pose = outcome.record.pose;
            pose.position_in_site +=
                names[frame].offset.along * site.pitch_along() + names[frame].offset.across * site.pitch_across();
            if (const auto residual = residual_of(site, PosedCamera(inputs.lens, pose), mark)) {
                result.off_px = residual->pixel;
                result.off_m = residual->metres;
            }
        }
        results.push_back(std::move(result));
    }
    for (const SurveyedCorner& corner : inputs.corners) {
        ControlResult result;
        result.kind = ControlResult::Kind::module_corner;
        result.name = corner.name;
        result.frame = -1;
        result.use = corner.held ? ControlResult::Use::held : ControlResult::Use::used;
        result.point_in_site = corner.point_in_site;
        result.off_m = corner_residual(inputs.layout, corner).head<2>();
        result.detail = inputs.layout.modules[static_cast<std::size_t>(corner.module)].id;
        results.push_back(std::move(result));
    }
    return results;
}

std::vector<std::string> control_notes(const SurveyInputs& inputs, const std::vector<ControlResult>& results) {
    std::vector<std::string> notes;
    for (std::size_t m = 0; m < inputs.marks.size(); ++m) {
        if (results[m].use == ControlResult::Use::refused) {
            const ControlMark& mark = inputs.marks[m];
            notes.push_back(fmt::format("Control not used: {}: {} at ({:g}, {:g}) of {}: {}.",
                                        mark.where,
                                        mark.name,
                                        mark.pixel.x(),
                                        mark.pixel.y(),
                                        frame_name(inputs, mark),
                                        results[m].detail));
        }
    }
    return notes;
}

}  // namespace heatrow
