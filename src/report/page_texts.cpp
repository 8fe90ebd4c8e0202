#include "page_texts.hpp"

#include "heatrow/report/markup.hpp"

namespace heatrow {

std::string caution_items() {
    std::string out;
    for (const std::string_view text : kCautionTexts) {
        out += "<li>" + escape_xml(text) + "</li>\n";
    }
    return out;
}

}  // namespace heatrow
