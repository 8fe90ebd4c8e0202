// The index page of an evidence bundle: one self-contained HTML file beside the files that it names.
#pragma once

#include "heatrow/core/finding.hpp"

#include <string>
#include <utility>
#include <vector>

namespace heatrow {

// One finding of the claim.
struct EvidenceItem {
    AbnormalityClass abnormality = AbnormalityClass::none;
    std::string headline;
    std::string evidence;                                    // sentence
    std::vector<std::pair<std::string, std::string>> facts;  // name, value
    std::vector<std::string> pictures;                       // files, from the page's folder
    std::vector<std::pair<std::string, std::string>> files;  // kind, file from the page's folder
    std::vector<std::string> decisions;                      // who, when, what; oldest first
    std::vector<std::string> missing;                        // what a reader who must judge will ask for
};

struct EvidencePage {
    std::string title;
    std::string claim;  // what the bundle is for, in words
    std::vector<std::pair<std::string, std::string>> facts;
    std::vector<EvidenceItem> items;
    std::vector<std::string> missing;  // of the survey as a whole
    std::string foot;
};

std::string evidence_page_html(const EvidencePage& page);

}  // namespace heatrow
