#include "conditions_text.hpp"
#include "heatrow/report/number_text.hpp"
#include "page_texts.hpp"
#include "paper_charts.hpp"
#include "paper_ribbon.hpp"
#include "pdf_parts.hpp"

#include <algorithm>
#include <cmath>
#include <string_view>

namespace heatrow {
namespace {

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

std::string stated_or_not(const std::string& value) {
    return value.empty() ? "not stated" : value;
}

TableRow count_row(const ReasonCount& line) {
    return {{in_words(line.reason)}, {std::to_string(line.count)}};
}

struct Spread {
    double low = kNaN;
    double median = kNaN;
    double high = kNaN;
};

Spread spread_of(std::vector<double> values) {
    std::erase_if(values, [](double value) { return !std::isfinite(value); });
    if (values.empty()) {
        return {};
    }
    std::sort(values.begin(), values.end());
    return {values.front(), values[values.size() / 2], values.back()};
}

TableRow spread_row(std::string_view name, std::string_view unit, int decimals, std::vector<double> values) {
    const Spread spread = spread_of(std::move(values));
    const auto cell = [decimals](double value) {
        const std::string text = fixed_text(value, decimals);
        return TableCell{text.empty() ? "unknown" : text};
    };
    return {{std::string(name)}, {std::string(unit)}, cell(spread.low), cell(spread.median), cell(spread.high)};
}

std::vector<TableColumn> spread_columns(std::string_view over) {
    return {{std::string(over), 3.2},
            {"Unit", 0.8},
            {"Least", 0.8, Anchor::end},
            {"Median", 0.8, Anchor::end},
            {"Most", 0.8, Anchor::end}};
}

}  // namespace

void add_strings(PdfPages& pages, const ReportModel& model, int parent) {
    pages.turn(record_part("strings"));
    const int own = pages.chapter(parent, "Strings");
    pages.paragraph(kRibbonText);
    draw_difference_bar(pages.canvas(), model.scale, kPageLeft, pages.y + 2.0, 220.0);
    pages.text().line(kPageLeft + 236.0, pages.y + 8.5, "K at 1000 W/m², the same in the whole report", kQuiet);
    pages.y += 30.0;
    for (const StringView& string : model.strings) {
        const double ribbon = paper_ribbon_height(model, string, kTextWidth);
        pages.need(ribbon + 34.0);
        pages.document().bookmark(own, string.title, pages.y - 6.0);
        const std::string name = (string.string == -1 ? "" : "String ") + string.title;
        const double used =
            pages.text().line(kPageLeft, pages.y + 9.0, name, {.size = 9.5, .weight = Weight::bold}, 180.0);
        pages.text().line(
            kPageLeft + used + 10.0, pages.y + 9.0, string_count_text(model, string), kQuiet, kTextWidth - used - 10.0);
        pages.y += 14.0;
        pages.y += draw_paper_ribbon(pages.canvas(), model, string, {kPageLeft, pages.y}, kTextWidth, -1) + 12.0;
    }
}

void add_equipment(PdfPages& pages, const ReportModel& model, int parent) {
    const SurveyStatement& stated = model.record->stated;
    pages.turn(record_part("equipment and settings"));
    const int own = pages.chapter(parent, "Equipment and settings");
    pages.heading("Instruments, as stated in survey.toml");
    std::vector<TableRow> rows;
    for (const InstrumentStatement& instrument : stated.instruments) {
        rows.push_back({{instrument.measures},
                        {stated_or_not(instrument.maker + (instrument.maker.empty() ? "" : " ") + instrument.model)},
                        {stated_or_not(instrument.serial)},
                        {stated_or_not(instrument.lens)},
                        {stated_or_not(instrument.calibrated)},
                        {stated_or_not(instrument.certificate)}});
    }
    draw_table(pages,
               {{"For", 1.2},
                {"Maker and model", 1.8},
                {"Serial", 1.0},
                {"Lens", 0.9},
                {"Calibrated", 1.0},
                {"Certificate", 1.1}},
               rows);
    pages.heading("People");
    rows.clear();
    for (const auto& [role, person] :
         {std::pair<std::string_view, const PersonStatement&>("Inspector", stated.inspector),
          {"Analyst", stated.analyst},
          {"Reviewer", stated.reviewer}}) {
        rows.push_back({{std::string(role)},
                        {stated_or_not(person.name)},
                        {stated_or_not(person.qualification)},
                        {stated_or_not(person.employer)},
                        {""}});
    }
    draw_table(pages,
               {{"Role", 0.9}, {"Name", 1.4}, {"Qualification", 1.6}, {"Employer", 1.3}, {"Signature, date", 1.6}},
               rows,
               {.row_air = 6.0});
    pages.heading("Clocks");
    rows.clear();
    for (const auto& [device, clock] : model.record->run.clocks) {
        rows.push_back({{device}, {clock}});
    }
    draw_table(pages, {{"Device", 1.0}, {"Clock", 2.4}}, rows);
    pages.document().bookmark(own, "Settings", pages.y);
    pages.heading("Settings in force");
    rows.clear();
    for (const auto& [key, value] : model.record->run.settings) {
        rows.push_back({{key}, {value}});
    }
    draw_table(pages, {{"Key", 1.0}, {"Value", 1.6}}, rows, {.size = 7.4, .row_air = 1.6});
}

void add_conditions(PdfPages& pages, const ReportModel& model, int parent) {
    pages.turn(record_part("conditions"));
    pages.chapter(parent, "Conditions over time");
    pages.paragraph(
        "Filled marks: frames that were scored. Open marks: frames left out or kept as information. The "
        "shaded side of a limit is outside it. Times are UTC.");
    const auto known = [&model](const auto& value_of) {
        return std::any_of(model.record->frames.begin(), model.record->frames.end(), [&](const FrameResult& frame) {
            return std::isfinite(value_of(frame.conditions));
        });
    };
    const auto load = [](const FrameConditions& c) { return c.load_fraction.value; };
    const auto cloud = [](const FrameConditions& c) { return c.cloud_okta; };
    const int charts = 3 + (known(load) ? 1 : 0) + (known(cloud) ? 1 : 0);
    constexpr double kTable = 190.0;  // for the limits below
    const double height = std::min(150.0, (pages.left() - kTable) / charts - 10.0);
    const auto limit_of = [&model](Flag flag) -> const LimitLine* {
        const auto found = std::find_if(model.limits.begin(), model.limits.end(), [flag](const LimitResult& limit) {
            return limit.line.flag == flag;
        });
        return found == model.limits.end() ? nullptr : &found->line;
    };
    const auto chart = [&](std::string title, const auto& value_of, const LimitLine* limit, bool least) {
        TimeChart drawing;
        drawing.title = std::move(title);
        for (const FrameResult& frame : model.record->frames) {
            drawing.points.push_back({frame.prior.time, value_of(frame.conditions), frame.scored});
        }
        if (limit != nullptr) {
            drawing.limit = limit->value;
            drawing.limit_is_least = least;
            drawing.limit_text = limit->limit;
        }
        pages.need(height);
        draw_time_chart(pages.canvas(), drawing, {kPageLeft, pages.y, kTextWidth, height});
        pages.y += height + 10.0;
    };
    chart(
        model.conditions.irradiance_is_modelled ? "Irradiance in the module plane, W/m² (modelled)"
                                                : "Irradiance in the module plane, W/m²",
        [](const FrameConditions& c) { return c.irradiance.value.value(); },
        limit_of(Flag::irradiance_below_minimum),
        true);
    chart(
        "Wind, m/s",
        [](const FrameConditions& c) { return c.wind.value.value(); },
        limit_of(Flag::wind_above_maximum),
        false);
    chart(
        "Air temperature, °C", [](const FrameConditions& c) { return c.air.value.value(); }, nullptr, false);
    if (known(load)) {
        chart("Load, share of the current at maximum power", load, nullptr, true);
    }
    if (known(cloud)) {
        chart("Cloud, okta", cloud, limit_of(Flag::cloud_above_maximum), false);
    }
    if (!known(load) || !known(cloud)) {
        pages.paragraph(std::string("Not recorded: ") + (known(load) ? "" : "load of the strings") +
                            (!known(load) && !known(cloud) ? ", " : "") + (known(cloud) ? "" : "cloud") + ".",
                        kQuiet);
    }
    pages.heading("Limits and their sources");
    std::vector<TableRow> rows;
    const std::size_t frames = model.record->frames.size();
    for (const LimitResult& limit : model.limits) {
        rows.push_back(
            {{limit.line.name}, {limit.line.limit}, {limit_outcome_text(limit, frames)}, {limit.line.source}});
    }
    draw_table(pages, {{"Limit", 1.2}, {"Allowed", 1.3}, {"Frames", 1.0}, {"Source", 2.6}}, rows, {.size = 7.6});
}

void add_coverage(PdfPages& pages, const ReportModel& model, int parent) {
    const SurveyRecord& record = *model.record;
    pages.turn(record_part("coverage"));
    pages.chapter(parent, "Coverage");
    pages.paragraph(kCoverageText);
    pages.paragraph(std::to_string(model.modules_assessed) + " of " + std::to_string(model.modules) +
                        " modules were assessed; " + std::to_string(model.frames_scored) + " of " +
                        std::to_string(record.frames.size()) + " frames were scored, " +
                        std::to_string(model.frames_for_information) + " kept as information.",
                    kStrong);
    if (!model.not_assessed.empty()) {
        std::vector<TableRow> rows;
        for (const ReasonCount& line : model.not_assessed) {
            std::string names;
            int named = 0;
            constexpr int kMostNames = 60;
            for (const ModuleResult& result : record.modules) {
                if (!result.assessed && result.assessed_reason == line.reason && ++named <= kMostNames) {
                    names += (names.empty() ? "" : ", ") + record.layout.modules[at(result.module)].id;
                }
            }
            names += named > kMostNames ? ", … (all in modules.csv)" : "";
            rows.push_back({{in_words(line.reason), std::nullopt, true}, {std::to_string(line.count)}, {names}});
        }
        draw_table(
            pages, {{"Not assessed, reason", 1.3}, {"Modules", 0.6, Anchor::end}, {"Which", 4.0}}, rows, {.size = 7.6});
    }
    if (!model.frames_left_out.empty()) {
        std::vector<TableRow> rows;
        for (const ReasonCount& line : model.frames_left_out) {
            rows.push_back(count_row(line));
        }
        draw_table(pages, {{"Frames left out, reason", 3.0}, {"Frames", 0.6, Anchor::end}}, rows);
    }
    std::vector<double> pixels;
    std::vector<double> angles;
    std::vector<double> frames;
    for (const ModuleResult& result : record.modules) {
        if (result.assessed) {
            pixels.push_back(result.cell_short_px);
            angles.push_back(in_degrees(result.view_angle));
            frames.push_back(static_cast<double>(result.frames.size()));
        }
    }
    pages.heading("How the assessed modules were seen");
    draw_table(pages,
               spread_columns("Over the assessed modules"),
               {spread_row("Pixels across the shorter side of a cell", "px", 1, pixels),
                spread_row("Angle of view to the normal", "°", 0, angles),
                spread_row("Frames used", "", 0, frames)});
    if (!record.notes.empty()) {
        pages.heading("Notes of the run");
        pages.bullets(record.notes, {.size = 8.4});
    }
}

void add_statistics(PdfPages& pages, const ReportModel& model, int parent) {
    const SurveyRecord& record = *model.record;
    pages.turn(record_part("statistics"));
    pages.chapter(parent, "Statistics and uncertainty");
    pages.heading("How far the hottest cells lie above healthy ones");
    constexpr double kHeight = 190.0;
    draw_difference_histogram(pages.canvas(), model, {kPageLeft, pages.y, kTextWidth, kHeight});
    pages.y += kHeight + 10.0;
    std::vector<double> modules;
    std::vector<double> temperatures;
    std::vector<double> difference_u95;
    for (const ModuleResult& result : record.modules) {
        if (result.assessed) {
            modules.push_back(result.delta_t_1000.value());
            temperatures.push_back(result.temperature.value.value());
        }
    }
    std::vector<double> scaled_u95;
    for (const Finding& finding : record.findings) {
        difference_u95.push_back(finding.delta_t.u95());
        scaled_u95.push_back(finding.delta_t_1000.u95());
    }
    draw_table(pages,
               spread_columns("Over modules and findings"),
               {spread_row("Temperature of the assessed modules", "°C", 1, temperatures),
                spread_row("Module against its reference, at 1000 W/m²", "K", 2, modules),
                spread_row("± of the findings' differences, as measured", "K", 2, difference_u95),
                spread_row("± of the findings' differences, at 1000 W/m²", "K", 2, scaled_u95)});
    pages.heading("Uncertainty");
    pages.bullets(std::vector<std::string>(kUncertaintyTexts.begin(), kUncertaintyTexts.end()));
    pages.heading("Limitations");
    pages.bullets(std::vector<std::string>(kLimitationTexts.begin(), kLimitationTexts.end()));
}

}  // namespace heatrow
