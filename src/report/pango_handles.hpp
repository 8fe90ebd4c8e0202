// Objects of Pango that free themselves.
#pragma once

#include <pango/pangocairo.h>

#include <memory>

namespace heatrow {

struct ObjectEnd {
    void operator()(void* object) const { g_object_unref(object); }
};
struct FontEnd {
    void operator()(PangoFontDescription* font) const { pango_font_description_free(font); }
};
using TextLayout = std::unique_ptr<PangoLayout, ObjectEnd>;
using FontDescription = std::unique_ptr<PangoFontDescription, FontEnd>;

}  // namespace heatrow
