#include "heatrow/report/number_text.hpp"
#include "page_texts.hpp"
#include "pdf_parts.hpp"

#include <algorithm>

namespace heatrow {
namespace {

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

std::string from_text(KelvinDelta limit) {
    return limit.is_known() ? "from " + short_text(limit.value(), 2) + " K" : "–";
}

std::string exponent_text(const RuleLine& rule) {
    const std::string low = short_text(rule.exponent_low, 2);
    const std::string high = short_text(rule.exponent_high, 2);
    return low == high ? low : low + " to " + high;
}

}  // namespace

void add_definitions(PdfPages& pages, const ReportModel& model, int parent) {
    pages.turn(record_part("definitions"));
    pages.chapter(parent, "Definitions and rules");
    for (const auto& [term, meaning] : kTerms) {
        constexpr double kTerm = 128.0;
        const TextLook term_look{.size = 8.6, .weight = Weight::bold};
        const TextLook look{.size = 8.6};
        const double height = std::max(pages.text().height(kTerm - 10.0, term, term_look),
                                       pages.text().height(kTextWidth - kTerm, meaning, look));
        pages.need(height);
        pages.text().paragraph(kPageLeft, pages.y, kTerm - 10.0, term, term_look);
        pages.text().paragraph(kPageLeft + kTerm, pages.y, kTextWidth - kTerm, meaning, look);
        pages.y += height + 4.0;
    }
    pages.heading("Which difference makes which class");
    pages.paragraph("Rules of the profile " + model.record->profile_id + ", version " + model.record->profile_version +
                        ", on the difference at 1000 W/m². The exponent x is that of the scaling (1000 / G)^x.",
                    kQuiet);
    std::vector<TableRow> rows;
    for (const RuleLine& rule : model.record->run.rules) {
        rows.push_back({{in_words(to_string(rule.pattern)), std::nullopt, true},
                        {from_text(rule.class_2_from)},
                        {from_text(rule.class_3_from)},
                        {exponent_text(rule)},
                        {rule.source}});
    }
    draw_table(pages,
               {{"Pattern", 1.5}, {"Class 2", 0.8}, {"Class 3", 0.8}, {"x", 0.8}, {"Source", 2.8}},
               rows,
               {.size = 7.6});
}

void add_modules(PdfPages& pages, const ReportModel& model, int parent) {
    const SurveyRecord& record = *model.record;
    pages.turn(record_part("modules"));
    pages.chapter(parent, "Modules");
    constexpr std::size_t kMostListed = 2000;  // about thirty pages
    if (record.modules.size() > kMostListed) {
        pages.paragraph("The site has " + std::to_string(record.modules.size()) +
                        " modules: their list is modules.csv and the sheet Modules of findings.xlsx.");
        return;
    }
    std::vector<TableRow> rows;
    for (const ModuleResult& result : record.modules) {
        const Module& module = record.layout.modules[at(result.module)];
        const std::string string = module.string == -1 ? "" : record.layout.strings[at(module.string)].id;
        const std::string place = string + (module.position > 0 ? " / " + std::to_string(module.position) : "");
        if (!result.assessed) {
            rows.push_back(
                {{module.id}, {place}, {"not assessed: " + in_words(result.assessed_reason)}, {""}, {""}, {""}, {""}});
            continue;
        }
        rows.push_back({{module.id},
                        {place},
                        {"assessed, class " + std::to_string(static_cast<int>(result.abnormality)),
                         std::nullopt,
                         result.abnormality != AbnormalityClass::none},
                        {std::to_string(result.frames.size())},
                        {fixed_text(result.temperature.value.value(), 1)},
                        {signed_text(result.delta_t_1000.value(), 1)},
                        {signed_text(result.hottest_cell_delta_t_1000.value(), 1)}});
    }
    draw_table(pages,
               {{"Module", 1.5},
                {"String / position", 1.2},
                {"Outcome", 2.2},
                {"Frames", 0.7, Anchor::end},
                {"Module, °C", 0.9, Anchor::end},
                {"Module, K at 1000 W/m²", 1.1, Anchor::end},
                {"Hottest cell, K", 1.0, Anchor::end}},
               rows,
               {.size = 7.2, .row_air = 1.1});
}

void add_files(PdfPages& pages, const ReportModel& model, int parent) {
    constexpr double kNeeds = 330.0;
    if (pages.left() < kNeeds) {
        pages.turn(record_part("files"));
    } else {
        pages.y += 22.0;
    }
    pages.chapter(parent, "Files and run");
    pages.paragraph(
        "Run " + model.record->run.id + ", " + model.record->program +
        ". The run's number stands for program, settings and every input file: the same inputs give the same "
        "number and the same bytes. manifest.json holds the hashes of all frames and outputs.");
    std::vector<TableRow> rows;
    std::size_t frames = 0;
    std::uint64_t frame_bytes = 0;
    for (const InputLine& input : model.record->run.inputs) {
        if (input.role == "frame") {
            ++frames;
            frame_bytes += input.bytes;
            continue;
        }
        rows.push_back({{input.role}, {input.name}, {std::to_string(input.bytes)}, {input.sha256}});
    }
    if (frames > 0) {
        rows.push_back({{"frames"},
                        {std::to_string(frames) + " files"},
                        {std::to_string(frame_bytes)},
                        {"one by one in manifest.json"}});
    }
    draw_table(pages,
               {{"Input", 0.9}, {"File", 1.5}, {"Bytes", 0.8, Anchor::end}, {"SHA-256", 2.8}},
               rows,
               {.size = 7.2, .row_air = 2.2});
}

}  // namespace heatrow
