#include "page_texts.hpp"

#include "heatrow/report/markup.hpp"
#include "heatrow/report/report_texts.hpp"

namespace heatrow {

std::span<const TextPair> report_terms() {
    return kTerms;
}

std::span<const std::string_view> report_cautions() {
    return kCautionTexts;
}

std::string caution_items() {
    std::string out;
    for (const std::string_view text : kCautionTexts) {
        out += "<li>" + escape_xml(text) + "</li>\n";
    }
    return out;
}

}  // namespace heatrow
