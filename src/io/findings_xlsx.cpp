#include "heatrow/io/findings_xlsx.hpp"

#include "heatrow/io/findings_csv.hpp"
#include "heatrow/io/modules_csv.hpp"
#include "heatrow/report/report_texts.hpp"
#include "xlsx_sheet.hpp"

#include <algorithm>
#include <array>
#include <chrono>
#include <string>

namespace heatrow {
namespace {

using detail::put_text;
using detail::XlsxBook;
using detail::XlsxColumn;
using detail::XlsxTable;

constexpr std::array<std::string_view, 3> kVerdicts = {"open", "confirmed", "rejected"};
constexpr std::array<std::string_view, 5> kEntries = {"verdict", "work_status", "comment", "reviewer", "reviewed_utc"};

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

double width_of(std::string_view column) {
    if (column == "evidence") {
        return 60.0;
    }
    if (column == "finding" || column == "frames" || column == "reference" || column == "comment") {
        return 34.0;
    }
    if (column == "pattern" || column == "pattern_second" || column == "flags" || column == "assessed_reason" ||
        column == "time_utc" || column == "reviewed_utc") {
        return 24.0;
    }
    return 13.0;
}

bool is_entry(std::string_view column) {
    return column == "pattern" || std::find(kEntries.begin(), kEntries.end(), column) != kEntries.end();
}

// What a reviewer reads and fills in comes first, the rest in the order of the csv file.
std::vector<XlsxColumn> finding_sheet_columns() {
    std::vector<std::string_view> names = {"finding", "class", "module", "string", "delta_t_1000_k", "pattern"};
    names.insert(names.end(), kEntries.begin(), kEntries.end());
    for (const std::string_view name : finding_columns()) {
        if (std::find(names.begin(), names.end(), name) == names.end()) {
            names.push_back(name);
        }
    }
    std::vector<XlsxColumn> columns;
    for (const std::string_view name : names) {
        columns.push_back({name, width_of(name), is_entry(name)});
    }
    return columns;
}

std::vector<XlsxColumn> plain_columns(const std::vector<std::string_view>& names) {
    std::vector<XlsxColumn> columns;
    for (const std::string_view name : names) {
        columns.push_back({name, width_of(name)});
    }
    return columns;
}

// Rows of class 2 and 3 get a fill; the number of the class stands in the row.
void colour_classes(XlsxBook& book, lxw_worksheet* sheet, const XlsxTable& table) {
    const lxw_row_t last = table.row() - 1;
    if (last < 1) {
        return;
    }
    const lxw_col_t column = table.column("class");
    for (const int abnormality : {2, 3}) {
        lxw_conditional_format rule{};
        rule.type = LXW_CONDITIONAL_TYPE_CELL;
        rule.criteria = LXW_CONDITIONAL_CRITERIA_EQUAL_TO;
        rule.value = abnormality;
        rule.format = book.class_fill(abnormality);
        worksheet_conditional_format_range(sheet, 1, column, last, column, &rule);
    }
}

// A choice from a column of the sheet Lists.
void offer(lxw_worksheet* sheet, const XlsxTable& table, std::string_view column, std::string formula) {
    const lxw_row_t last = table.row() - 1;
    if (last < 1) {
        return;
    }
    lxw_data_validation choice{};
    choice.validate = LXW_VALIDATION_TYPE_LIST_FORMULA;
    choice.value_formula = formula.data();
    const lxw_col_t place = table.column(column);
    worksheet_data_validation_range(sheet, 1, place, last, place, &choice);
}

void add_findings_sheet(XlsxBook& book, const ReportModel& model) {
    lxw_worksheet* sheet = book.add_sheet("Findings");
    XlsxTable table(book, sheet, finding_sheet_columns(), finding_columns());
    write_findings(table, model);
    table.finish();
    colour_classes(book, sheet, table);
    offer(sheet, table, "verdict", "=Lists!$A$1:$A$" + std::to_string(kVerdicts.size()));
    offer(sheet, table, "pattern", "=Lists!$B$1:$B$" + std::to_string(kPatternCount));
    offer(sheet, table, "work_status", "=Lists!$C$1:$C$" + std::to_string(kWorkStatusCount));
}

void add_modules_sheet(XlsxBook& book, const ReportModel& model) {
    lxw_worksheet* sheet = book.add_sheet("Modules");
    XlsxTable table(book, sheet, plain_columns(module_columns()), module_columns());
    write_modules(table, model);
    table.finish();
    colour_classes(book, sheet, table);
}

// Relative, with forward slashes: HYPERLINK keeps them, and they work on every system.
void put_link(XlsxBook& book, lxw_worksheet* sheet, lxw_row_t row, lxw_col_t column, const std::string& file) {
    const std::string formula = "=HYPERLINK(\"" + file + "\",\"" + file + "\")";
    worksheet_write_formula_str(sheet, row, column, formula.c_str(), book.link(), file.c_str());
}

void add_strings_sheet(XlsxBook& book, const ReportModel& model) {
    const std::vector<std::string_view> order = {"string",
                                                 "modules",
                                                 "assessed",
                                                 "findings",
                                                 "delta_t_1000_k",
                                                 "irradiance_median_w_m2",
                                                 "wind_median_m_s",
                                                 "load_fraction_median"};
    std::vector<XlsxColumn> columns = plain_columns(order);
    columns.front().width = 34.0;
    columns.push_back({"drawing", 40.0});
    lxw_worksheet* sheet = book.add_sheet("Strings");
    XlsxTable table(book, sheet, columns, order);
    for (const StringView& string : model.strings) {
        const double warmer = string.string < 0 ? kNaN : model.record->strings[at(string.string)].delta_t_1000.value();
        put_link(book, sheet, table.row(), table.column("drawing"), "strings/" + string.file_stem + ".svg");
        table.text(string.title).integer(static_cast<long long>(string.modules.size())).integer(string.assessed);
        table.integer(static_cast<long long>(string.findings.size())).number(warmer, 2);
        table.number(string.conditions.irradiance_w_m2.median, 1).number(string.conditions.wind_m_s.median, 2);
        table.number(string.conditions.load_fraction.median, 3);
        table.end_row();
    }
    table.finish();
}

void add_conditions_sheet(XlsxBook& book, const ReportModel& model) {
    const std::vector<std::string_view> order = {"frame",
                                                 "time_utc",
                                                 "outcome",
                                                 "irradiance_w_m2",
                                                 "wind_m_s",
                                                 "air_c",
                                                 "relative_humidity_percent",
                                                 "cloud_okta",
                                                 "load_fraction",
                                                 "flags"};
    std::vector<XlsxColumn> columns = plain_columns(order);
    columns.front().width = 26.0;
    columns[2].width = 24.0;
    XlsxTable table(book, book.add_sheet("Conditions"), columns, order);
    for (const FrameResult& frame : model.record->frames) {
        const FrameConditions& c = frame.conditions;
        table.text(frame.prior.name).text(to_iso8601(frame.prior.time));
        table.text(frame.rejection ? to_string(frame.rejection->reason) : frame.scored ? "scored" : "information");
        table.number(c.irradiance.value.value(), 1).number(c.wind.value.value(), 2).number(c.air.value.value(), 2);
        table.number(c.relative_humidity_percent, 1).number(c.cloud_okta, 1).number(c.load_fraction.value, 3);
        table.text(c.flags.to_string());
        table.end_row();
    }
    table.finish();
}

std::string stated(const std::string& value) {
    return value.empty() ? "not stated" : value;
}

void add_equipment_sheet(XlsxBook& book, const ReportModel& model) {
    const std::vector<std::string_view> order = {"what", "which", "value"};
    XlsxTable table(book, book.add_sheet("Equipment"), {{"what", 30.0}, {"which", 34.0}, {"value", 60.0}}, order);
    const auto row = [&table](std::string_view what, std::string_view which, const std::string& value) {
        table.text(what).text(which).text(value);
        table.end_row();
    };
    const SurveyStatement& said = model.record->stated;
    for (const InstrumentStatement& instrument : said.instruments) {
        const std::string what = "instrument for " + instrument.measures;
        row(what, "maker", stated(instrument.maker));
        row(what, "model", stated(instrument.model));
        row(what, "serial", stated(instrument.serial));
        row(what, "calibrated", stated(instrument.calibrated));
        row(what, "certificate", stated(instrument.certificate));
    }
    const auto person = [&row](std::string_view role, const PersonStatement& who) {
        row(role, "name", stated(who.name));
        row(role, "qualification", stated(who.qualification));
        row(role, "employer", stated(who.employer));
    };
    person("inspector", said.inspector);
    person("analyst", said.analyst);
    person("reviewer", said.reviewer);
    for (const auto& [device, clock] : model.record->run.clocks) {
        row("clock", device, clock);
    }
    for (const auto& [key, value] : model.record->run.settings) {
        row("setting", key, value);
    }
    table.finish();
}

void add_coverage_sheet(XlsxBook& book, const ReportModel& model) {
    const std::vector<std::string_view> order = {"what", "reason", "count"};
    XlsxTable table(book, book.add_sheet("Coverage"), {{"what", 34.0}, {"reason", 40.0}, {"count", 12.0}}, order);
    const auto row = [&table](std::string_view what, std::string_view reason, int count) {
        table.text(what).text(reason).integer(count);
        table.end_row();
    };
    row("modules", "all", model.modules);
    row("modules", "assessed", model.modules_assessed);
    for (const ReasonCount& line : model.not_assessed) {
        row("modules not assessed", line.reason, line.count);
    }
    row("frames", "all", static_cast<int>(model.record->frames.size()));
    row("frames", "scored", model.frames_scored);
    row("frames", "kept as information", model.frames_for_information);
    for (const ReasonCount& line : model.frames_left_out) {
        row("frames left out", line.reason, line.count);
    }
    table.finish();
}

// The review log, oldest first: who changed what, when, before and after.
void add_changes_sheet(XlsxBook& book, const ReportModel& model) {
    const std::vector<std::string_view> order = {"changed_utc",
                                                 "reviewer",
                                                 "finding",
                                                 "what",
                                                 "before",
                                                 "after",
                                                 "source"};
    std::vector<XlsxColumn> columns = plain_columns(order);
    for (XlsxColumn& column : columns) {
        column.width = column.name == "finding" ? 44.0 : column.name == "what" ? 14.0 : 26.0;
    }
    lxw_worksheet* sheet = book.add_sheet("Changes");
    XlsxTable table(book, sheet, columns, order);
    for (const ReviewEntry& entry : model.record->review_log) {
        for (const ReviewChange& change : changes_of(entry)) {
            table.text(to_iso8601(entry.time)).text(entry.reviewer).text(entry.finding);
            table.text(change.what).text(change.before).text(change.after).text(entry.source);
            table.end_row();
        }
    }
    table.finish();
}

void add_readme_sheet(XlsxBook& book, const ReportModel& model) {
    lxw_worksheet* sheet = book.add_sheet("Read-me");
    worksheet_set_column(sheet, 0, 0, 34.0, book.bold());
    worksheet_set_column(sheet, 1, 1, 100.0, book.wrapped());
    worksheet_gridlines(sheet, LXW_HIDE_ALL_GRIDLINES);
    worksheet_set_landscape(sheet);
    worksheet_fit_to_pages(sheet, 1, 0);
    worksheet_set_row(sheet, 0, 24.0, nullptr);
    lxw_row_t row = 0;
    put_text(sheet, row++, 0, model.record->title, book.title());
    const auto line = [&](std::string_view name, std::string_view words) {
        // The height of wrapped rows is not found by itself everywhere: from the characters a line of either column holds.
        const std::size_t lines = std::max(1 + words.size() / 104, 1 + name.size() / 30);
        worksheet_set_row(sheet, row, 15.0 * static_cast<double>(lines), nullptr);
        put_text(sheet, row, 0, name, book.bold());
        put_text(sheet, row++, 1, words, book.wrapped());
    };
    line("Survey", model.record->survey_id);
    line("Run", model.record->run.id + ", " + model.record->program);
    line("Profile", model.record->profile_id + ", version " + model.record->profile_version);
    ++row;
    line("To review",
         "Fill in the yellow columns of the sheet Findings: verdict (confirmed or rejected), with rejected the reason in "
         "comment; in pattern the right one, where it is another; in work_status where the work stands; reviewer, and "
         "reviewed_utc as 2026-06-17T11:02:00Z. Leave the ids in the first column as they are. Then: heatrow review "
         "apply. What was decided before stands in the sheet Changes.");
    line("Units",
         "The ending of a column tells its unit: _k kelvin (differences), _c °C, _w_m2 W/m², _m_s m/s, _w W, "
         "_deg degrees, _utc time in UTC. _u95 is the half width of a 95 % interval. An empty cell means "
         "unknown or not meant. The columns are those of findings.csv and modules.csv.");
    ++row;
    for (const auto& [term, meaning] : report_terms()) {
        line(term, meaning);
    }
    ++row;
    for (const std::string_view caution : report_cautions()) {
        line("Caution", caution);
    }
}

void add_lists(XlsxBook& book) {
    lxw_worksheet* sheet = book.add_sheet("Lists");
    lxw_row_t row = 0;
    for (const std::string_view verdict : kVerdicts) {
        put_text(sheet, row++, 0, verdict, nullptr);
    }
    for (int i = 0; i < kPatternCount; ++i) {
        put_text(sheet, static_cast<lxw_row_t>(i), 1, to_string(static_cast<Pattern>(i)), nullptr);
    }
    for (int i = 0; i < kWorkStatusCount; ++i) {
        put_text(sheet, static_cast<lxw_row_t>(i), 2, to_string(static_cast<WorkStatus>(i)), nullptr);
    }
    worksheet_hide(sheet);
}

}  // namespace

void write_findings_xlsx(const ReportModel& model, const std::filesystem::path& file) {
    XlsxBook book(file);
    book.describe(model.record->title,
                  std::chrono::duration_cast<std::chrono::seconds>(model.conditions.last.time_since_epoch()).count());
    add_readme_sheet(book, model);
    add_findings_sheet(book, model);
    add_modules_sheet(book, model);
    add_strings_sheet(book, model);
    add_conditions_sheet(book, model);
    add_equipment_sheet(book, model);
    add_coverage_sheet(book, model);
    add_changes_sheet(book, model);
    add_lists(book);
    book.close();
}

}  // namespace heatrow
