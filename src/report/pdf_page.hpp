// Pages with a running head and foot, and a cursor that moves down them.
#pragma once

#include "heatrow/core/finding.hpp"
#include "pdf_document.hpp"
#include "pdf_text.hpp"

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace heatrow {

inline constexpr double kPageLeft = 46.0;
inline constexpr double kPageRight = kPageWidth - 46.0;
inline constexpr double kTextWidth = kPageRight - kPageLeft;
inline constexpr double kPageTop = 66.0;      // where content begins
inline constexpr double kPageBottom = 786.0;  // and ends

// What stands on every page.
struct PageFacts {
    std::string title;  // of the survey
    std::string foot;   // run and program
    int pages = 0;      // of the whole file; 0: not known yet
};

class PdfPages {
  public:
    PdfPages(PdfDocument& document, PdfText& text, PageFacts facts)
        : document_(document), text_(text), facts_(std::move(facts)) {}

    // A new page of that part; the first call begins the first page.
    void turn(std::string_view part);
    // Ends the last page.
    void close();
    // Turns where less than `height` is left.
    void need(double height);
    [[nodiscard]] double left() const { return kPageBottom - y; }

    // Headings; `bookmark` is the parent bookmark, the result the heading's own.
    int chapter(int parent, std::string_view name);
    void heading(std::string_view name);
    void paragraph(std::string_view words, const TextLook& look = kBody, double after = 6.0);
    // Sentences with a bullet each.
    void bullets(const std::vector<std::string>& items, const TextLook& look = kBody);

    [[nodiscard]] PdfDocument& document() { return document_; }
    [[nodiscard]] PdfText& text() { return text_; }
    [[nodiscard]] Canvas& canvas() { return document_.canvas(); }

    double y = kPageTop;  // of the next thing

  private:
    PdfDocument& document_;
    PdfText& text_;
    PageFacts facts_;
    std::string part_;
    bool open_ = false;
};

struct TableColumn {
    std::string title;
    double share = 1.0;  // of the width
    Anchor anchor = Anchor::start;
};

struct TableCell {
    std::string text;
    std::optional<AbnormalityClass> mark = std::nullopt;  // drawn in front
    bool strong = false;
    std::string link = {};  // destination
};
using TableRow = std::vector<TableCell>;

struct TableLook {
    double size = 8.2;
    double row_air = 3.6;  // above and below the text of a row
};

// Over the width of the text; the header is repeated on every page.
void draw_table(PdfPages& pages,
                const std::vector<TableColumn>& columns,
                const std::vector<TableRow>& rows,
                const TableLook& look = {});

// Names and values in two columns, without rules; values that are empty read "not stated".
void draw_pairs(PdfPages& pages,
                const std::vector<std::pair<std::string, std::string>>& pairs,
                double x,
                double width,
                double name_width);
// What they take on one page.
double pairs_height(PdfPages& pages,
                    const std::vector<std::pair<std::string, std::string>>& pairs,
                    double width,
                    double name_width);

}  // namespace heatrow
