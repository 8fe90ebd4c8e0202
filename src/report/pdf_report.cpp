#include "heatrow/report/pdf_report.hpp"

#include "pdf_parts.hpp"

#include <set>
#include <utility>

namespace heatrow {
namespace {

struct Pass {
    std::string bytes;
    int pages = 0;
    std::set<std::string> lacking;
    TextMeasures measures;
};

Pass draw(const ReportModel& model,
          PdfUse use,
          int pages_in_all,
          const std::vector<std::string>& notes,
          TextMeasures measures) {
    const SurveyRecord& record = *model.record;
    PdfDocument document({.title = record.title,
                          .subject = "Thermographic survey " + record.survey_id + ", run " + model.record->run.id,
                          .creator = model.record->program,
                          .created = model.conditions.last},
                         kPageWidth,
                         kPageHeight,
                         use);
    PdfText text(document, std::move(measures));
    PdfPages pages(document,
                   text,
                   {.title = record.title,
                    .foot = "Run " + model.record->run.id + " · survey " + record.survey_id + " · " +
                            model.record->program + " · follows IEC TS 62446-3 practice, certifies nothing",
                    .pages = pages_in_all});
    add_summary(pages, model, notes);
    const int full = document.bookmark(0, kRecordPart, 0.0);
    add_findings(pages, model, full);
    add_strings(pages, model, full);
    add_equipment(pages, model, full);
    add_conditions(pages, model, full);
    add_coverage(pages, model, full);
    add_statistics(pages, model, full);
    add_definitions(pages, model, full);
    add_modules(pages, model, full);
    add_files(pages, model, full);
    const int count = document.page();
    pages.close();
    return {document.finish(), count, text.lacking(), text.measures()};
}

std::vector<std::string> notes_on(const std::set<std::string>& lacking) {
    if (lacking.empty()) {
        return {};
    }
    std::string list;
    for (const std::string& code : lacking) {
        list += (list.empty() ? "" : ", ") + code;
    }
    return {"No installed font has these characters of names in this survey, which show as boxes in report.pdf: " +
            list + ". Install a font that has them and run again."};
}

}  // namespace

PdfReport pdf_report(const ReportModel& model) {
    Pass first = draw(model, PdfUse::counting, 0, {}, {});
    std::vector<std::string> notes = notes_on(first.lacking);
    Pass last = draw(model, PdfUse::file, first.pages, notes, std::move(first.measures));
    return {std::move(last.bytes), std::move(notes)};
}

}  // namespace heatrow
