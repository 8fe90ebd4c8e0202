#include "pdf_document.hpp"

#include "heatrow/core/error.hpp"
#include "heatrow/report/markup.hpp"
#include "heatrow/report/number_text.hpp"

#include <cairo-pdf.h>

#include <chrono>

namespace heatrow {
namespace {

constexpr const char* kDocumentTag = "Document";

cairo_status_t append(void* bytes, const unsigned char* data, unsigned length) {
    static_cast<std::string*>(bytes)->append(reinterpret_cast<const char*>(data), length);
    return CAIRO_STATUS_SUCCESS;
}

}  // namespace

PdfDocument::PdfDocument(const PdfFacts& facts, double width, double height, PdfUse use)
    : use_(use),
      surface_(cairo_pdf_surface_create_for_stream(append, &bytes_, width, height)),
      context_(cairo_create(surface_.get())),
      canvas_(context_.get(), kPageFaces) {
    cairo_pdf_surface_restrict_to_version(surface_.get(), CAIRO_PDF_VERSION_1_5);
    const auto set = [this](cairo_pdf_metadata_t what, const std::string& value) {
        cairo_pdf_surface_set_metadata(surface_.get(), what, clean_utf8(value).c_str());
    };
    set(CAIRO_PDF_METADATA_TITLE, facts.title);
    set(CAIRO_PDF_METADATA_SUBJECT, facts.subject);
    set(CAIRO_PDF_METADATA_CREATOR, facts.creator);
    // An empty text keeps the drawing library from writing the time of day.
    const std::string created =
        facts.created ? to_iso8601(std::chrono::floor<std::chrono::seconds>(*facts.created)) : std::string();
    set(CAIRO_PDF_METADATA_CREATE_DATE, created);
    set(CAIRO_PDF_METADATA_MOD_DATE, created);
    if (use == PdfUse::counting) {
        cairo_rectangle(context_.get(), 0.0, 0.0, 0.0, 0.0);
        cairo_clip(context_.get());  // what is outside is passed over before it costs anything
    }
    // Links are parts of the document's structure; cairo 1.16 leaves out objects that they refer to where it has none.
    cairo_tag_begin(context_.get(), kDocumentTag, nullptr);
}

void PdfDocument::end_last_page() {
    cairo_tag_end(context_.get(), kDocumentTag);
    cairo_show_page(context_.get());
}

void PdfDocument::end_page() {
    cairo_show_page(context_.get());
    ++page_;
}

int PdfDocument::bookmark(int parent, std::string_view name, double y) {
    const std::string where = "page=" + std::to_string(page_) + " pos=[0 " + fixed_text(y, 1) + "]";
    return cairo_pdf_surface_add_outline(
        surface_.get(), parent, clean_utf8(name).c_str(), where.c_str(), static_cast<cairo_pdf_outline_flags_t>(0));
}

void PdfDocument::destination(const std::string& name, double x, double y) {
    const std::string attributes = "name='" + name + "' x=" + fixed_text(x, 1) + " y=" + fixed_text(y, 1);
    cairo_tag_begin(context_.get(), CAIRO_TAG_DEST, attributes.c_str());
    cairo_tag_end(context_.get(), CAIRO_TAG_DEST);
}

void PdfDocument::link(const std::string& name, double x, double y, double width, double height) {
    const std::string attributes = "dest='" + name + "' rect=[" + fixed_text(x, 1) + " " + fixed_text(y, 1) + " " +
                                   fixed_text(width, 1) + " " + fixed_text(height, 1) + "]";
    cairo_tag_begin(context_.get(), CAIRO_TAG_LINK, attributes.c_str());
    cairo_tag_end(context_.get(), CAIRO_TAG_LINK);
}

void PdfDocument::jpeg(const std::string& bytes, int width, int height, double x, double y, double scale) {
    const CairoSurface picture = make_cairo_surface(width, height);
    // The surface owns a copy: what is drawn is written when the page ends. Its pixels stay empty, pages take the
    // bytes.
    auto kept = std::make_unique<std::string>(bytes);
    const auto* data = reinterpret_cast<const unsigned char*>(kept->data());
    const auto release = [](void* owner) { delete static_cast<std::string*>(owner); };
    if (cairo_surface_set_mime_data(picture.get(), CAIRO_MIME_TYPE_JPEG, data, kept->size(), release, kept.get()) ==
        CAIRO_STATUS_SUCCESS) {
        kept.release();
    }
    cairo_save(context_.get());
    cairo_translate(context_.get(), x, y);
    cairo_scale(context_.get(), scale, scale);
    cairo_set_source_surface(context_.get(), picture.get(), 0.0, 0.0);
    cairo_paint(context_.get());
    cairo_restore(context_.get());
}

std::string PdfDocument::finish() {
    const cairo_status_t drawn = cairo_status(context_.get());
    cairo_surface_finish(surface_.get());
    const cairo_status_t ended = cairo_surface_status(surface_.get());
    if (drawn != CAIRO_STATUS_SUCCESS || ended != CAIRO_STATUS_SUCCESS) {
        throw Error(ErrorKind::output,
                    "cannot write the PDF",
                    "page " + std::to_string(page_),
                    cairo_status_to_string(drawn != CAIRO_STATUS_SUCCESS ? drawn : ended),
                    "Report this");
    }
    return std::move(bytes_);
}

}  // namespace heatrow
