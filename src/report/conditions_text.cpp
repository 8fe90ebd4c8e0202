#include "conditions_text.hpp"

#include "class_mark.hpp"
#include "heatrow/report/number_text.hpp"

#include <algorithm>
#include <chrono>
#include <cmath>

namespace heatrow {
namespace {

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

std::string counted(std::size_t count, std::string_view one) {
    return std::to_string(count) + " " + std::string(one) + (count == 1 ? "" : "s");
}

std::string percent(double share) {
    return std::isfinite(share) ? fixed_text(100.0 * share, 0) + " %" : "unknown";
}

std::string place_text(const SurveyRecord& record, const Finding& finding) {
    if (finding.module == -1) {
        return "String " + record.layout.strings[at(finding.string)].id;
    }
    const Module& module = record.layout.modules[at(finding.module)];
    return module.position > 0 ? module.id + " (position " + std::to_string(module.position) + ")" : module.id;
}

std::string parts_text(const Finding& finding) {
    std::string text;
    for (const CellIndex cell : finding.cells) {
        text += " " + to_string(cell);
    }
    if (finding.cells.empty() && !finding.substrings.empty()) {
        text += finding.substrings.size() == 1 ? ", substring" : ", substrings";
        for (const int substring : finding.substrings) {
            text += " " + std::to_string(substring);
        }
    }
    return text;
}

}  // namespace

std::string limit_outcome_text(const LimitResult& limit, std::size_t frames) {
    const std::string of = std::to_string(frames) + (frames == 1 ? " frame" : " frames");
    const auto unknown = static_cast<std::size_t>(limit.frames_unknown);
    if (limit.frames_outside > 0) {
        return "outside in " + std::to_string(limit.frames_outside) + " of " + of;
    }
    if (unknown == frames) {
        return "not recorded";
    }
    return unknown == 0 ? "inside in all " + of
                        : "inside in " + std::to_string(frames - unknown) + " of " + of + ", others not recorded";
}

std::string range_text(const ValueRange& range, int decimals, std::string_view unit) {
    const std::string low = fixed_text(range.low, decimals);
    const std::string high = fixed_text(range.high, decimals);
    if (low.empty()) {
        return "unknown";
    }
    std::string text = low == high ? low : low + " to " + high;
    return unit.empty() ? text : text + " " + std::string(unit);
}

std::string date_time_text(UtcTime time) {
    std::string text = to_iso8601(std::chrono::floor<std::chrono::seconds>(time));
    text[10] = ' ';
    text.pop_back();
    return text;
}

std::string string_count_text(const ReportModel& model, const StringView& string) {
    const std::size_t open = string.modules.size() - at(string.assessed);
    std::string text = counted(string.modules.size(), "module") + ", " + std::to_string(string.assessed) + " assessed";
    if (open > 0) {
        text += ", " + std::to_string(open) + " not assessed (not called healthy)";
    }
    text += ", " + counted(string.findings.size(), "finding");
    if (string.string >= 0) {
        const KelvinDelta warmer = model.record->strings[at(string.string)].delta_t_1000;
        if (warmer.is_known()) {
            text += " · string " + signed_text(warmer.value(), 1) + " K against its neighbours";
        }
    }
    return text;
}

std::string conditions_text(const ConditionsSummary& conditions) {
    if (conditions.frames == 0) {
        return "No frame was used.";
    }
    const std::string first = date_time_text(conditions.first);
    const std::string last = date_time_text(conditions.last);
    std::string text = counted(static_cast<std::size_t>(conditions.frames), "frame") + ", " + first;
    if (first != last) {
        text += " to " + (first.substr(0, 10) == last.substr(0, 10) ? last.substr(11) : last);
    }
    text += " UTC · irradiance " + range_text(conditions.irradiance_w_m2, 0, "W/m²");
    text += conditions.irradiance_is_modelled ? " (modelled)" : "";
    text += " · wind " + range_text(conditions.wind_m_s, 1, "m/s");
    text += " · air " + range_text(conditions.air_c, 1, "°C");
    return text + " · load " + range_text(conditions.load_fraction, 2, "");
}

std::string finding_headline(const SurveyRecord& record, const Finding& finding) {
    std::string text = place_text(record, finding) + " · " + in_words(to_string(finding.pattern)) + parts_text(finding);
    if (finding.delta_t_1000.is_known()) {
        text += " · " + with_u95_text(finding.delta_t_1000, 1) + " K at 1000 W/m²";
    } else if (finding.delta_t.is_known()) {
        text += " · " + with_u95_text(finding.delta_t, 1) + " K as measured";
    }
    const ClassMark& mark = class_mark(finding.abnormality);
    return text + " · class " + std::string(mark.number) + ", " + std::string(mark.words);
}

std::string as_found_words(const AsFound& found) {
    std::string text =
        in_words(to_string(found.pattern)) + ", class " + std::string(class_mark(found.abnormality).number);
    if (found.delta_t_1000.is_known()) {
        text += ", " + with_u95_text(found.delta_t_1000, 1) + " K at 1000 W/m²";
    }
    return text;
}

std::string rejected_text(const SurveyRecord& record) {
    const auto rejected = std::count_if(record.findings.begin(), record.findings.end(), [](const Finding& finding) {
        return finding.verdict == Verdict::rejected;
    });
    if (rejected == 0) {
        return "";
    }
    return std::to_string(rejected) + (rejected == 1 ? " finding" : " findings") + " rejected by the reviewer " +
           (rejected == 1 ? "is" : "are") + " listed, but not counted here.";
}

const VisiblePicture* visible_picture_of(const SurveyRecord& record, int finding) {
    const auto& all = record.visible_pictures;
    const auto picture =
        std::find_if(all.begin(), all.end(), [finding](const VisiblePicture& one) { return one.finding == finding; });
    return picture == all.end() ? nullptr : &*picture;
}

std::string visible_picture_text(const SurveyRecord& record, const VisiblePicture& picture) {
    const FramePrior& partner = record.frames[at(picture.partner)].prior;
    const double after_s = std::chrono::duration<double>(picture.time - partner.time).count();
    return picture.frame + ", " + fixed_text(std::abs(after_s), 1) + " s " + (after_s < 0.0 ? "before " : "after ") +
           partner.name +
           (picture.fits ? "; outline by the layout, which fits the edges of this picture"
                         : "; outline by the thermal frames alone: it may lie beside the module");
}

std::string finding_detail(const SurveyRecord& record, const Finding& finding) {
    std::string text = finding.evidence;
    if (!finding.candidates.empty()) {
        text += " It may also be:";
        for (const int candidate : finding.candidates) {
            text += " " + record.layout.modules[at(candidate)].id + ",";
        }
        text.back() = '.';
    }
    text += " Pattern " + percent(finding.pattern_probability) + ", class " + percent(finding.class_probability) + ".";
    if (finding.t_hot.is_known() && finding.t_reference.is_known()) {
        text += " " + fixed_text(finding.t_hot.value(), 1) + " °C against " +
                fixed_text(finding.t_reference.value(), 1) + " °C of " + finding.reference + ".";
    }
    if (!finding.flags.none()) {
        std::string flags;
        for (const Flag flag : finding.flags.list()) {
            flags += (flags.empty() ? " " : ", ") + in_words(to_string(flag));
        }
        text += " Flags:" + flags + ".";
    }
    return text;
}

}  // namespace heatrow
