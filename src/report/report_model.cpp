#include "heatrow/report/report_model.hpp"

#include "heatrow/report/file_stem.hpp"
#include "heatrow/report/table_picture.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>
#include <set>
#include <utility>

namespace heatrow {
namespace {

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

ValueRange range_of(std::vector<double> values) {
    std::erase_if(values, [](double v) { return !std::isfinite(v); });
    if (values.empty()) {
        return {};
    }
    std::sort(values.begin(), values.end());
    const std::size_t middle = values.size() / 2;
    const double median = values.size() % 2 == 1 ? values[middle] : (values[middle - 1] + values[middle]) / 2.0;
    return {values.front(), median, values.back()};
}

ConditionsSummary summarise(const SurveyRecord& record, const std::set<int>& frames) {
    ConditionsSummary summary;
    summary.frames = static_cast<int>(frames.size());
    std::vector<double> irradiance;
    std::vector<double> wind;
    std::vector<double> air;
    std::vector<double> load;
    bool any = false;
    for (const int index : frames) {
        const FrameResult& frame = record.frames[at(index)];
        irradiance.push_back(frame.conditions.irradiance.value.value());
        wind.push_back(frame.conditions.wind.value.value());
        air.push_back(frame.conditions.air.value.value());
        load.push_back(frame.conditions.load_fraction.value);
        summary.irradiance_is_modelled |= frame.conditions.irradiance_is_modelled;
        summary.first = any ? std::min(summary.first, frame.prior.time) : frame.prior.time;
        summary.last = any ? std::max(summary.last, frame.prior.time) : frame.prior.time;
        any = true;
    }
    summary.irradiance_w_m2 = range_of(std::move(irradiance));
    summary.wind_m_s = range_of(std::move(wind));
    summary.air_c = range_of(std::move(air));
    summary.load_fraction = range_of(std::move(load));
    return summary;
}

std::vector<ReasonCount> by_frequency(const std::map<std::string, int>& counts) {
    std::vector<ReasonCount> list;
    for (const auto& [reason, count] : counts) {
        list.push_back({reason, count});
    }
    std::stable_sort(
        list.begin(), list.end(), [](const ReasonCount& a, const ReasonCount& b) { return a.count > b.count; });
    return list;
}

StringView view_of(const SurveyRecord& record, int string, std::vector<int> modules) {
    StringView view;
    view.string = string;
    view.modules = std::move(modules);
    std::set<int> frames;
    std::set<int> members;
    for (const int module : view.modules) {
        const ModuleResult& result = record.modules[at(module)];
        view.assessed += result.assessed ? 1 : 0;
        frames.insert(result.frames.begin(), result.frames.end());
        members.insert(module);
    }
    for (std::size_t i = 0; i < record.findings.size(); ++i) {
        const Finding& finding = record.findings[i];
        const bool on_string = finding.module == -1 && string != -1 && finding.string == string;
        if (on_string || members.contains(finding.module)) {
            view.findings.push_back(static_cast<int>(i));
        }
    }
    view.conditions = summarise(record, frames);
    return view;
}

std::vector<StringView> string_views(const SurveyRecord& record) {
    std::vector<StringView> views;
    for (std::size_t s = 0; s < record.layout.strings.size(); ++s) {
        views.push_back(view_of(record, static_cast<int>(s), record.layout.strings[s].modules));
        views.back().title = record.layout.strings[s].id;
    }
    std::stable_sort(views.begin(), views.end(), [](const StringView& a, const StringView& b) {
        return natural_less(a.title, b.title);
    });
    std::vector<int> loose;
    for (std::size_t m = 0; m < record.layout.modules.size(); ++m) {
        if (record.layout.modules[m].string == -1) {
            loose.push_back(static_cast<int>(m));
        }
    }
    if (!loose.empty()) {
        views.push_back(view_of(record, -1, std::move(loose)));
        views.back().title = "Modules without a string";
    }
    FileStems stems;
    for (StringView& view : views) {
        view.file_stem = stems.claim(view.title);
    }
    return views;
}

DifferenceScale scale_of(const SurveyRecord& record) {
    std::vector<double> hottest;  // one value a finding: its cell that differs most
    for (const Finding& finding : record.findings) {
        double most = kNaN;
        for (const int cell : cells_of_finding(record, finding)) {
            const auto& cells = record.modules[at(finding.module)].cells;
            const double value = cells.empty() ? kNaN : std::abs(cells[at(cell)].delta_t_1000.value());
            most = std::fmax(most, value);
        }
        hottest.push_back(most);
    }
    return DifferenceScale(round_scale_limit(std::move(hottest)));
}

void count_modules(ReportModel& model) {
    std::map<std::string, int> reasons;
    for (const ModuleResult& result : model.record->modules) {
        ++model.modules;
        if (result.assessed) {
            ++model.modules_assessed;
        } else {
            ++reasons[result.assessed_reason];
        }
    }
    model.not_assessed = by_frequency(reasons);
}

void count_frames(ReportModel& model) {
    std::map<std::string, int> reasons;
    std::set<int> scored;
    std::set<int> all;
    for (const FrameResult& frame : model.record->frames) {
        all.insert(frame.prior.frame);
        if (frame.rejection) {
            ++reasons[std::string(to_string(frame.rejection->reason))];
        } else if (frame.scored) {
            scored.insert(frame.prior.frame);
        } else {
            ++model.frames_for_information;
        }
    }
    model.frames_scored = static_cast<int>(scored.size());
    model.frames_left_out = by_frequency(reasons);
    model.conditions = summarise(*model.record, scored.empty() ? all : scored);
}

bool is_recorded(const FrameConditions& conditions, Flag flag) {
    switch (flag) {
        case Flag::wind_above_maximum:
            return conditions.wind.is_known();
        case Flag::cloud_above_maximum:
            return std::isfinite(conditions.cloud_okta);
        default:
            return conditions.irradiance.is_known();
    }
}

void hold_against_limits(ReportModel& model) {
    for (const LimitLine& line : model.record->limits) {
        LimitResult result{line};
        for (const FrameResult& frame : model.record->frames) {
            result.frames_unknown += is_recorded(frame.conditions, line.flag) ? 0 : 1;
            result.frames_outside += frame.conditions.flags.has(line.flag) ? 1 : 0;
        }
        model.limits.push_back(result);
    }
}

}  // namespace

ReportModel make_report_model(const SurveyRecord& record, ReportContext context) {
    ReportModel model;
    model.record = &record;
    model.context = std::move(context);
    model.scale = scale_of(record);
    model.strings = string_views(record);
    model.table_pictures = table_picture_files(record.layout);
    count_modules(model);
    count_frames(model);
    hold_against_limits(model);
    for (const Finding& finding : record.findings) {
        if (finding.verdict != Verdict::rejected) {
            ++model.findings_of_class[at(static_cast<int>(finding.abnormality) - 1)];
        }
    }
    return model;
}

std::string in_words(std::string_view name) {
    std::string words(name);
    std::replace(words.begin(), words.end(), '_', ' ');
    return words;
}

std::vector<int> cells_of_finding(const SurveyRecord& record, const Finding& finding) {
    if (finding.module == -1) {
        return {};
    }
    const ModuleType& type = record.layout.type_of(record.layout.modules[at(finding.module)]);
    std::set<int> cells;
    for (const CellIndex cell : finding.cells) {
        cells.insert(type.cell_number(cell));
    }
    if (cells.empty()) {
        for (const int substring : finding.substrings) {
            const std::vector<int> members = type.cells_of_substring(substring);
            cells.insert(members.begin(), members.end());
        }
    }
    if (cells.empty()) {
        for (int i = 0; i < type.cell_count(); ++i) {
            cells.insert(i);
        }
    }
    return {cells.begin(), cells.end()};
}

Eigen::Vector3d position_of_finding(const SurveyRecord& record, const Finding& finding) {
    if (finding.module == -1) {
        const std::vector<int>& members = record.layout.strings[at(finding.string)].modules;
        return members.empty() ? Eigen::Vector3d(kNaN, kNaN, kNaN)
                               : record.layout.modules[at(members[members.size() / 2])].centre_in_site();
    }
    const Module& module = record.layout.modules[at(finding.module)];
    const ModuleType& type = record.layout.type_of(module);
    Eigen::Vector2d sum(0.0, 0.0);
    int corners = 0;
    for (const int cell : cells_of_finding(record, finding)) {
        for (const Eigen::Vector2d& corner : type.cell_corners(type.cell_at(cell))) {
            sum += corner;
            ++corners;
        }
    }
    return corners == 0 ? module.centre_in_site() : module.point_in_site(type, sum / corners);
}

}  // namespace heatrow
