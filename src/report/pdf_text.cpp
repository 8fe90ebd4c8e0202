#include "pdf_text.hpp"

#include "heatrow/report/markup.hpp"
#include "pango_handles.hpp"

#include <cstddef>

namespace heatrow {
namespace {

struct AttributesEnd {
    void operator()(PangoAttrList* list) const { pango_attr_list_unref(list); }
};

constexpr double in_points(int pango_units) {
    return static_cast<double>(pango_units) / PANGO_SCALE;
}

PangoWeight pango_weight(Weight weight) {
    return weight == Weight::normal   ? PANGO_WEIGHT_NORMAL
           : weight == Weight::medium ? PANGO_WEIGHT_MEDIUM
                                      : PANGO_WEIGHT_SEMIBOLD;
}

PangoAlignment pango_alignment(Anchor anchor) {
    return anchor == Anchor::start ? PANGO_ALIGN_LEFT : anchor == Anchor::end ? PANGO_ALIGN_RIGHT : PANGO_ALIGN_CENTER;
}

TextLayout lay_out(cairo_t* context, const std::string& text, const TextLook& look, double width) {
    TextLayout layout(pango_cairo_create_layout(context));
    const FontDescription font(pango_font_description_new());
    pango_font_description_set_family(font.get(), std::string(kPageFaces).c_str());
    pango_font_description_set_absolute_size(font.get(), look.size * PANGO_SCALE);
    pango_font_description_set_weight(font.get(), pango_weight(look.weight));
    pango_layout_set_font_description(layout.get(), font.get());
    if (look.even_digits) {
        const std::unique_ptr<PangoAttrList, AttributesEnd> attributes(pango_attr_list_new());
        pango_attr_list_insert(attributes.get(), pango_attr_font_features_new("tnum"));
        pango_layout_set_attributes(layout.get(), attributes.get());
    }
    pango_layout_set_text(layout.get(), text.data(), static_cast<int>(text.size()));
    pango_layout_set_alignment(layout.get(), pango_alignment(look.anchor));
    if (width > 0.0) {
        pango_layout_set_width(layout.get(), static_cast<int>(width * PANGO_SCALE));
        pango_layout_set_wrap(layout.get(), PANGO_WRAP_WORD_CHAR);
    }
    return layout;
}

// The characters of a text that came out as boxes.
std::set<std::string> lacking_in(PangoLayout* layout, const std::string& text) {
    std::set<std::string> lacking;
    if (pango_layout_get_unknown_glyphs_count(layout) == 0) {
        return lacking;
    }
    PangoLayoutIter* iter = pango_layout_get_iter(layout);
    do {
        const PangoLayoutRun* run = pango_layout_iter_get_run_readonly(iter);
        for (int i = 0; run != nullptr && i < run->glyphs->num_glyphs; ++i) {
            if ((run->glyphs->glyphs[i].glyph & PANGO_GLYPH_UNKNOWN_FLAG) != 0) {
                const int at = run->item->offset + run->glyphs->log_clusters[i];
                const gunichar code = g_utf8_get_char(text.c_str() + at);
                char name[16];
                g_snprintf(name, sizeof name, "U+%04X", code);
                lacking.insert(name);
            }
        }
    } while (pango_layout_iter_next_run(iter) != 0);
    pango_layout_iter_free(iter);
    return lacking;
}

TextLayout lay_out_line(cairo_t* context, const std::string& text, const TextLook& look) {
    TextLayout layout = lay_out(context, text, look, -1.0);
    pango_layout_set_single_paragraph_mode(layout.get(), 1);
    return layout;
}

// Cuts a line with an ellipsis where it is wider than `most`; the width that is left.
double fit_line(PangoLayout* layout, double most) {
    int width = 0;
    pango_layout_get_size(layout, &width, nullptr);
    if (in_points(width) > most) {
        pango_layout_set_ellipsize(layout, PANGO_ELLIPSIZE_MIDDLE);
        pango_layout_set_alignment(layout, PANGO_ALIGN_LEFT);
        pango_layout_set_width(layout, static_cast<int>(most * PANGO_SCALE));
        PangoRectangle extent;
        pango_layout_line_get_extents(pango_layout_get_line_readonly(layout, 0), nullptr, &extent);
        width = extent.width;
    }
    return in_points(width);
}

}  // namespace

template <typename Look>
TextMeasures::Measure PdfText::measured(const TextMeasures::Key& key, const Look& look) {
    constexpr std::size_t kMost = 100'000;  // of a large survey's tables: some 20 MB
    const auto found = measures_.known.find(key);
    if (found != measures_.known.end()) {
        return found->second;
    }
    const TextMeasures::Measure fresh = look();
    if (measures_.known.size() < kMost) {
        measures_.known.emplace(key, fresh);
    }
    return fresh;
}

TextMeasures::Measure PdfText::measured_paragraph(const std::string& clean, const TextLook& look, double width) {
    return measured({false, width, look.size, look.weight, look.even_digits, clean}, [&] {
        const TextLayout layout = lay_out(document_.context(), clean, look, width);
        return TextMeasures::Measure{pango_layout_get_line_count(layout.get()), width, lacking_in(layout.get(), clean)};
    });
}

double PdfText::paragraph(double x, double y, double width, std::string_view text, const TextLook& look) {
    const std::string clean = clean_utf8(text);
    const double step = look.size * look.leading;
    if (document_.use() == PdfUse::counting) {
        const TextMeasures::Measure measure = measured_paragraph(clean, look, width);
        lacking_.insert(measure.lacking.begin(), measure.lacking.end());
        return measure.lines * step;
    }
    const TextLayout layout = lay_out(document_.context(), clean, look, width);
    set_cairo_colour(document_.context(), look.colour);
    const int lines = pango_layout_get_line_count(layout.get());
    for (int i = 0; i < lines; ++i) {
        PangoLayoutLine* line = pango_layout_get_line_readonly(layout.get(), i);
        PangoRectangle extent;
        pango_layout_line_get_extents(line, nullptr, &extent);
        const double free = width - in_points(extent.width);
        const double indent = look.anchor == Anchor::start ? 0.0 : look.anchor == Anchor::end ? free : 0.5 * free;
        cairo_move_to(document_.context(), x + indent, y + i * step + 0.5 * (step - look.size) + 0.86 * look.size);
        pango_cairo_show_layout_line(document_.context(), line);
    }
    return lines * step;
}

double PdfText::height(double width, std::string_view text, const TextLook& look) {
    return measured_paragraph(clean_utf8(text), look, width).lines * look.size * look.leading;
}

double PdfText::line(double x, double baseline, std::string_view text, const TextLook& look, double most) {
    const std::string clean = clean_utf8(text);
    if (document_.use() == PdfUse::counting) {
        const TextMeasures::Measure measure =
            measured({true, most, look.size, look.weight, look.even_digits, clean}, [&] {
                const TextLayout layout = lay_out_line(document_.context(), clean, look);
                std::set<std::string> lacking = lacking_in(layout.get(), clean);
                return TextMeasures::Measure{1, fit_line(layout.get(), most), std::move(lacking)};
            });
        lacking_.insert(measure.lacking.begin(), measure.lacking.end());
        return measure.width;
    }
    const TextLayout layout = lay_out_line(document_.context(), clean, look);
    const double drawn = fit_line(layout.get(), most);
    const double shift = look.anchor == Anchor::start ? 0.0 : look.anchor == Anchor::middle ? 0.5 : 1.0;
    set_cairo_colour(document_.context(), look.colour);
    cairo_move_to(document_.context(), x - shift * drawn, baseline);
    pango_cairo_show_layout_line(document_.context(), pango_layout_get_line_readonly(layout.get(), 0));
    return drawn;
}

}  // namespace heatrow
