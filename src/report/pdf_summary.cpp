#include "class_mark.hpp"
#include "conditions_text.hpp"
#include "heatrow/report/number_text.hpp"
#include "heatrow/report/work_list.hpp"
#include "page_texts.hpp"
#include "paper_plan.hpp"
#include "pdf_parts.hpp"

#include <algorithm>
#include <array>
#include <map>
#include <set>

namespace heatrow {
namespace {

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

constexpr std::array kGravest = {AbnormalityClass::safety_relevant, AbnormalityClass::thermal, AbnormalityClass::none};

constexpr double kHighestPlan = 560.0;

std::string percent_text(int part, int whole) {
    return whole == 0 ? "" : fixed_text(100.0 * part / whole, 1) + " %";
}

std::string counted(int count, std::string_view one) {
    return std::to_string(count) + " " + std::string(one) + (count == 1 ? "" : "s");
}

// The outcome in two or three sentences.
std::string outcome_text(const ReportModel& model) {
    if (model.modules_assessed == 0) {
        return "No module could be assessed, so there is no finding and no all-clear.";
    }
    std::set<int> modules;
    for (const Finding& finding : model.record->findings) {
        if (finding.module != -1 && finding.abnormality != AbnormalityClass::none &&
            finding.verdict != Verdict::rejected) {
            modules.insert(finding.module);
        }
    }
    const int grave = model.findings_of_class[2];
    std::string text = counted(model.findings_of_class[1] + grave, "finding") + " of class 2 or 3 on " +
                       counted(static_cast<int>(modules.size()), "module") + " of " +
                       std::to_string(model.modules_assessed) + " assessed";
    text += grave > 0 ? "; " + std::to_string(grave) + " safety-relevant, to be looked at first."
                      : "; none safety-relevant.";
    const int open = model.modules - model.modules_assessed;
    if (open > 0) {
        text += " " + counted(open, "module") + " could not be assessed and " + (open == 1 ? "is" : "are") +
                " not called healthy.";
    }
    const std::string rejected = rejected_text(*model.record);
    return rejected.empty() ? text : text + " " + rejected;
}

void draw_title(PdfPages& pages, const ReportModel& model) {
    const SurveyRecord& record = *model.record;
    pages.text().line(kPageLeft,
                      pages.y + 8.0,
                      "Thermographic survey of a photovoltaic plant",
                      {.size = 9.0, .colour = kThisString, .weight = Weight::bold});
    pages.y += 14.0;
    pages.y += pages.text().paragraph(
        kPageLeft, pages.y, kTextWidth, record.title, {.size = 25.0, .weight = Weight::bold, .leading = 1.15});
    pages.y += 4.0;
    pages.y +=
        pages.text().paragraph(kPageLeft, pages.y, kTextWidth, outcome_text(model), {.size = 11.0, .leading = 1.4}) +
        10.0;
}

void draw_figures(PdfPages& pages, const ReportModel& model) {
    constexpr int kBoxes = 5;
    const double width = kTextWidth / kBoxes;
    const double top = pages.y;
    int place = 0;
    const auto box = [&](const std::string& value, const std::string& label) -> double {
        const double x = kPageLeft + place * width;
        pages.canvas().stroke({{{x, top}, {x, top + 44.0}}}, {.colour = kThisString, .width = 1.4});
        pages.text().paragraph(
            x + 8.0, top + 27.0, width - 14.0, label, {.size = 7.6, .colour = kQuietInk, .leading = 1.2});
        ++place;
        return pages.text().line(x + 8.0, top + 20.0, value, {.size = 21.0, .weight = Weight::bold});
    };
    for (const AbnormalityClass abnormality : kGravest) {
        const int count = model.findings_of_class[at(static_cast<int>(abnormality) - 1)];
        const double x = kPageLeft + place * width;
        const double used = box(
            std::to_string(count),
            "class " + std::string(class_mark(abnormality).number) + ", " + std::string(class_mark(abnormality).words));
        draw_class_mark(pages.canvas(), abnormality, x + used + 21.0, top + 12.5, 0.95);
    }
    box(percent_text(model.modules_assessed, model.modules),
        std::to_string(model.modules_assessed) + " of " + std::to_string(model.modules) + " modules assessed");
    box(std::to_string(model.frames_scored), "of " + std::to_string(model.record->frames.size()) + " frames scored");
    pages.y = top + 58.0;
}

void draw_scope(PdfPages& pages, const ReportModel& model) {
    const SurveyRecord& record = *model.record;
    const SurveyStatement& stated = record.stated;
    const auto person = [](const PersonStatement& p) {
        std::string text = p.name;
        text += p.qualification.empty() ? "" : ", " + p.qualification;
        return p.employer.empty() || p.name.empty() ? text : text + ", " + p.employer;
    };
    const double top = pages.y;
    const double width = 0.5 * (kTextWidth - 16.0);
    const ConditionsSummary& c = model.conditions;
    std::string when;
    if (c.frames > 0) {
        const std::string last = date_time_text(c.last);
        when = date_time_text(c.first) + " to " + last.substr(11) + " UTC";
    }
    draw_pairs(pages,
               {{"Client", stated.client},
                {"Plant", stated.plant},
                {"Address", stated.address},
                {"Capacity", stated.capacity},
                {"Purpose", stated.purpose},
                {"Procedure", stated.procedure}},
               kPageLeft,
               width,
               64.0);
    const double end = pages.y;
    pages.y = top;
    draw_pairs(pages,
               {{"Frames taken", when},
                {"Inspector", person(stated.inspector)},
                {"Analyst", person(stated.analyst)},
                {"Reviewer", person(stated.reviewer)},
                {"Profile", record.profile_id + ", version " + record.profile_version},
                {"Survey", record.survey_id}},
               kPageLeft + width + 16.0,
               width,
               64.0);
    pages.y = std::max(end, pages.y) + 2.0;
}

// Each limit with what was met, in words.
void draw_limits(PdfPages& pages, const ReportModel& model) {
    pages.heading("Conditions held against the profile's limits");
    const ConditionsSummary& c = model.conditions;
    const std::size_t frames = model.record->frames.size();
    const auto met = [&](Flag flag) -> std::string {
        switch (flag) {
            case Flag::irradiance_below_minimum:
                return range_text(c.irradiance_w_m2, 0, "W/m²") + (c.irradiance_is_modelled ? ", modelled" : "");
            case Flag::wind_above_maximum:
                return range_text(c.wind_m_s, 1, "m/s");
            default:
                return "–";
        }
    };
    std::vector<TableRow> rows;
    for (const LimitResult& limit : model.limits) {
        const bool inside = limit.frames_outside == 0;
        rows.push_back({{limit.line.name},
                        {limit.line.limit},
                        {met(limit.line.flag)},
                        {limit_outcome_text(limit, frames), std::nullopt, !inside}});
    }
    if (rows.empty()) {
        pages.paragraph("The profile sets no limits.");
        return;
    }
    draw_table(pages, {{"Limit", 1.5}, {"Allowed", 1.9}, {"In the scored frames", 1.4}, {"Outcome", 1.4}}, rows);
}

void draw_counts(PdfPages& pages, const ReportModel& model) {
    if (model.record->findings.empty()) {
        return;
    }
    pages.heading("Findings by pattern and class");
    std::map<Pattern, std::array<int, 3>> counts;
    for (const Finding& finding : model.record->findings) {
        if (finding.verdict != Verdict::rejected) {
            ++counts[finding.pattern][at(static_cast<int>(finding.abnormality) - 1)];
        }
    }
    std::vector<TableRow> rows;
    for (const auto& [pattern, of_class] : counts) {
        std::string name = in_words(to_string(pattern));
        name.front() = static_cast<char>(name.front() - 'a' + 'A');
        const auto cell = [](int count) { return TableCell{count == 0 ? "–" : std::to_string(count)}; };
        rows.push_back({{name},
                        cell(of_class[2]),
                        cell(of_class[1]),
                        cell(of_class[0]),
                        {std::to_string(of_class[0] + of_class[1] + of_class[2]), std::nullopt, true}});
    }
    draw_table(pages,
               {{"Pattern", 3.0},
                {"Class 3", 1.0, Anchor::end},
                {"Class 2", 1.0, Anchor::end},
                {"Class 1", 1.0, Anchor::end},
                {"All", 1.0, Anchor::end}},
               rows);
}

void draw_plan_legend(PdfPages& pages) {
    double x = kPageLeft;
    const double y = pages.y + 7.0;
    const TextLook look{.size = 7.8};
    for (const AbnormalityClass abnormality : kGravest) {
        draw_class_mark(pages.canvas(), abnormality, x + 6.0, y - 2.5, 0.7);
        x += 15.0 + pages.text().line(x + 15.0, y, class_mark(abnormality).words, look) + 14.0;
    }
    const Polyline swatch = rectangle(x, y - 7.0, 13.0, 9.0);
    pages.canvas().stroke(hatch_lines(swatch, 3.0), {.colour = "#8b8f94", .width = 0.8});
    pages.canvas().stroke({swatch}, {.colour = "#8b8f94", .width = 0.6, .closed = true});
    pages.text().line(x + 18.0, y, "not assessed: not called healthy", look);
    pages.y += 18.0;
}

void draw_plan(PdfPages& pages, const ReportModel& model) {
    pages.heading("Where it is");
    const double height = site_plan_height(model, kTextWidth, kHighestPlan);
    pages.need(height + 36.0);
    draw_site_plan(pages.canvas(), model, {kPageLeft, pages.y, kTextWidth, height});
    pages.y += height + 8.0;
    draw_plan_legend(pages);
    pages.y += 2.0;
    pages.paragraph("Numbers are those of the findings in this report, the gravest first.", kQuiet);
}

void draw_top_findings(PdfPages& pages, const ReportModel& model) {
    const SurveyRecord& record = *model.record;
    if (record.findings.empty()) {
        return;
    }
    constexpr std::size_t kMost = 12;
    std::vector<TableRow> rows;
    for (std::size_t i = 0; i < record.findings.size() && rows.size() < kMost; ++i) {
        const Finding& finding = record.findings[i];
        if (finding.verdict == Verdict::rejected) {
            continue;
        }
        const std::string link = finding_destination(static_cast<int>(i));
        rows.push_back({{std::to_string(i + 1), finding.abnormality, true, link},
                        {finding_place(record, finding), std::nullopt, true, link},
                        {finding_pattern(finding)},
                        {finding_figure(finding)},
                        {in_words(to_string(action_for(finding.pattern)))}});
    }
    if (rows.empty()) {
        return;
    }
    const bool all = rows.size() == record.findings.size();
    pages.heading(all ? "All findings, the gravest first"
                      : "The " + counted(static_cast<int>(rows.size()), "gravest finding"));
    draw_table(
        pages,
        {{"No.", 0.62}, {"Place", 1.3}, {"Pattern and part", 2.1}, {"Difference at 1000 W/m²", 1.35}, {"To do", 1.2}},
        rows);
    if (!all) {
        pages.paragraph(
            "All " + std::to_string(record.findings.size()) + " have a page of their own in the full record.", kQuiet);
    }
}

// Roughly, to decide where it goes.
double missing_height(PdfPages& pages, const ReportModel& model) {
    constexpr double kHeading = 40.0;
    constexpr double kNotes = 36.0;
    std::string list(160, 'x');
    for (const std::string& entry : not_stated(model.record->stated)) {
        list += entry + "; ";
    }
    return kHeading + pages.text().height(kTextWidth, list, {.size = 8.6}) +
           kNotes * std::min<double>(7.0, static_cast<double>(model.record->notes.size()));
}

void draw_missing(PdfPages& pages, const ReportModel& model, const std::vector<std::string>& notes) {
    pages.heading("What is missing");
    const std::vector<std::string> missing = not_stated(model.record->stated);
    if (missing.empty() && notes.empty() && model.record->notes.empty()) {
        pages.paragraph("Nothing: all that this report asks of survey.toml is stated.");
        return;
    }
    if (!missing.empty()) {
        std::string list;
        for (const std::string& entry : missing) {
            list += (list.empty() ? "" : "; ") + entry;
        }
        pages.paragraph("Not stated in survey.toml, and to be added before the report is relied upon: " + list + ".",
                        {.size = 8.6});
    }
    const TextLook look{.size = 8.6};
    constexpr double kRoom = 260.0;  // for notes, so that the summary stays within its pages
    std::vector<std::string> all = notes;
    all.insert(all.end(), model.record->notes.begin(), model.record->notes.end());
    std::vector<std::string> shown;
    double used = 0.0;
    for (const std::string& note : all) {
        used += pages.text().height(kTextWidth - 11.0, note, look) + 3.0;
        if (used > kRoom) {
            shown.push_back(std::to_string(all.size() - shown.size()) +
                            " more notes stand under Coverage in the full record.");
            break;
        }
        shown.push_back(note);
    }
    pages.bullets(shown, look);
}

void draw_cautions(PdfPages& pages) {
    pages.heading("Cautions");
    std::vector<std::string> items;
    for (const std::string_view text : kCautionTexts) {
        items.emplace_back(text);
    }
    pages.bullets(items, {.size = 8.6});
    pages.paragraph(kScopeText, {.size = 8.6, .weight = Weight::medium});
}

}  // namespace

void add_summary(PdfPages& pages, const ReportModel& model, const std::vector<std::string>& notes) {
    pages.turn(kSummaryPart);
    const int own = pages.document().bookmark(0, kSummaryPart, 0.0);
    draw_title(pages, model);
    draw_figures(pages, model);
    draw_scope(pages, model);
    draw_limits(pages, model);
    draw_counts(pages, model);
    const bool missing_first = pages.left() > missing_height(pages, model);
    const auto add_missing = [&] {
        pages.document().bookmark(own, "What is missing", pages.y);
        draw_missing(pages, model, notes);
    };
    if (missing_first) {
        add_missing();
    }
    constexpr double kLegend = 68.0;
    if (pages.left() < site_plan_height(model, kTextWidth, kHighestPlan) + kLegend) {
        pages.turn(kSummaryPart);
    }
    pages.document().bookmark(own, "Site plan", pages.y);
    draw_plan(pages, model);
    constexpr double kListNeeds = 330.0;
    if (pages.left() < kListNeeds) {
        pages.turn(kSummaryPart);
    }
    pages.document().bookmark(own, "Gravest findings", pages.y);
    draw_top_findings(pages, model);
    constexpr double kCautionsNeed = 170.0;
    if (pages.left() < kCautionsNeed + (missing_first ? 0.0 : missing_height(pages, model))) {
        pages.turn(kSummaryPart);
    }
    if (!missing_first) {
        add_missing();
    }
    pages.document().bookmark(own, "Cautions", pages.y);
    draw_cautions(pages);
}

}  // namespace heatrow
