// report.pdf: A4, a summary of at most four pages, then the full record (docs/formats/report-pdf.md).
#pragma once

#include "heatrow/report/report_model.hpp"

#include <string>
#include <vector>

namespace heatrow {

struct PdfReport {
    std::string bytes;
    std::vector<std::string> notes;  // what the reader should know of the file: characters that no font has
};

// The same model gives the same bytes, with the same fonts installed. Throws Error(output) where drawing fails.
PdfReport pdf_report(const ReportModel& model);

}  // namespace heatrow
