// A PDF file page by page: surface, metadata, bookmarks, links. Lengths in points (1/72 inch), y down. Fonts are
// embedded as subsets by cairo.
#pragma once

#include "cairo_canvas.hpp"
#include "heatrow/core/time.hpp"

#include <memory>
#include <optional>
#include <string>
#include <string_view>

namespace heatrow {

inline constexpr double kPageWidth = 595.276;  // A4
inline constexpr double kPageHeight = 841.890;

// The faces of pages. Inter is under the SIL Open Font License; DejaVu fills in what it lacks.
inline constexpr std::string_view kPageFaces = "Inter, DejaVu Sans, sans-serif";

struct PdfFacts {
    std::string title;
    std::string subject;
    std::string creator;
    // Comes from the inputs, so that the same run gives the same bytes; none: the file does not say when.
    std::optional<UtcTime> created{};
};

// What pages are drawn for.
enum class PdfUse {
    file,
    counting,  // to know where pages end: everything is laid out, nothing shows
};

class PdfDocument {
  public:
    // All pages of one size; A4 upright by default.
    explicit PdfDocument(const PdfFacts& facts,
                         double width = kPageWidth,
                         double height = kPageHeight,
                         PdfUse use = PdfUse::file);

    void end_page();
    // Instead of end_page after the last page.
    void end_last_page();
    [[nodiscard]] int page() const { return page_; }  // from 1
    [[nodiscard]] PdfUse use() const { return use_; }
    [[nodiscard]] cairo_t* context() { return context_.get(); }
    [[nodiscard]] CairoCanvas& canvas() { return canvas_; }

    // A bookmark to a height of the current page; its number, to be the parent of others (0: none).
    int bookmark(int parent, std::string_view name, double y);
    // A place that links can lead to: letters and digits.
    void destination(const std::string& name, double x, double y);
    // An area of the current page that leads there; the destination may come later, and must come.
    void link(const std::string& name, double x, double y, double width, double height);

    // The bytes of a JPEG as they are, `width` x `height` pixels, left upper corner at (x, y), `scale` points a pixel.
    void jpeg(const std::string& bytes, int width, int height, double x, double y, double scale);

    // The file. Throws Error(output) where the drawing library failed.
    std::string finish();

  private:
    PdfUse use_;
    std::string bytes_;
    CairoSurface surface_;
    CairoContext context_;
    CairoCanvas canvas_;
    int page_ = 1;
};

}  // namespace heatrow
