#include "placement_section.hpp"

#include "heatrow/core/fixed_text.hpp"
#include "heatrow/core/median.hpp"
#include "heatrow/report/markup.hpp"
#include "page_parts.hpp"

#include <cmath>
#include <vector>

namespace heatrow {
namespace {

std::string cell_of(const std::string& text, bool is_number = false) {
    return (is_number ? "<td class=\"number\">" : "<td>") + escape_xml(text) + "</td>";
}

std::string in_words(ControlResult::Kind kind) {
    switch (kind) {
        case ControlResult::Kind::known_pixel:
            return "known pixel";
        case ControlResult::Kind::control_point:
            return "control point";
        case ControlResult::Kind::module_corner:
            return "surveyed corner";
    }
    return {};
}

std::string in_words(const ControlResult& control) {
    switch (control.use) {
        case ControlResult::Use::used:
            return "used";
        case ControlResult::Use::held:
            return control.placement == Placement::ambiguous ? "compared, its frame is ambiguous" : "compared only";
        case ControlResult::Use::refused:
            return "not used: " + control.detail;
    }
    return {};
}

std::string frames_in_words(const SurveyRecord& record) {
    std::vector<double> rms_px;
    std::vector<double> moved_m;
    std::size_t placed = 0;
    for (const FrameResult& frame : record.frames) {
        if (!frame.pose) {
            continue;
        }
        ++placed;
        if (std::isfinite(frame.lock_rms_px)) {
            rms_px.push_back(frame.lock_rms_px);
        }
        if (frame.prior.pose) {
            moved_m.push_back((frame.pose->position_in_site - frame.prior.pose->position_in_site).norm());
        }
    }
    std::string text = std::to_string(placed) + " of " + std::to_string(record.frames.size()) + " frames were placed";
    if (!rms_px.empty()) {
        text += "; at the edges of modules " + fixed_text(take_median(rms_px), 2) + " px are left (median)";
    }
    if (!moved_m.empty()) {
        text +=
            "; cameras were found " + fixed_text(take_median(moved_m), 1) + " m from where the log has them (median)";
    }
    return text + ".";
}

}  // namespace

std::string placement_section(const SurveyRecord& record) {
    std::string out = "<h2 id=\"placement\">Placement</h2>\n" + paragraph(frames_in_words(record));
    if (record.control.empty()) {
        return out;
    }
    out +=
        "<table><thead><tr><th scope=\"col\">Control</th><th scope=\"col\">Kind</th><th scope=\"col\">Frame</th>"
        "<th scope=\"col\" class=\"number\">Off, px</th><th scope=\"col\" class=\"number\">Off, m</th>"
        "<th scope=\"col\">Use</th></tr></thead><tbody>\n";
    for (const ControlResult& control : record.control) {
        const bool in_frame = control.frame >= 0;
        out += "<tr>" + cell_of(in_frame ? control.name : control.name + ", " + control.detail);
        out += cell_of(in_words(control.kind));
        out += cell_of(in_frame ? record.frames[static_cast<std::size_t>(control.frame)].prior.name : std::string());
        out += cell_of(fixed_text(control.off_px.norm(), 1), true) + cell_of(fixed_text(control.off_m.norm(), 2), true);
        out += cell_of(in_words(control)) + "</tr>\n";
    }
    return out + "</tbody></table>\n";
}

}  // namespace heatrow
