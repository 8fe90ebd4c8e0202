#include "layout_error_spec.hpp"

#include "toml_section.hpp"

namespace scene {

LayoutErrorSpec read_layout_error(Section section) {
    LayoutErrorSpec error;
    error.shift_m = section.vector2("shift_m", {0.0, 0.0});
    for (Section item : section.sections("part")) {
        WrongPart part;
        part.tables = item.texts("tables");
        if (part.tables.empty()) {
            item.fail("tables", "must name at least one table");
        }
        part.along_m = item.number("along_m", 0.0);
        part.up_m = item.number("up_m", 0.0);
        part.along_scale = item.number("along_scale", 1.0);
        part.up_scale = item.number("up_scale", 1.0);
        if (part.along_scale <= 0.0 || part.up_scale <= 0.0) {
            item.fail("along_scale", "and up_scale must be above 0");
        }
        item.finish();
        error.parts.push_back(part);
    }
    section.finish();
    return error;
}

}  // namespace scene
