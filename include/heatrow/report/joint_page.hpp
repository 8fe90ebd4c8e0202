// The page of `joints`: one self-contained HTML file to read, print and sign.
#pragma once

#include "heatrow/core/finding.hpp"
#include "heatrow/core/uncertain.hpp"
#include "heatrow/core/units.hpp"

#include <optional>
#include <string>
#include <vector>

namespace heatrow {

// One joint as shown. Differences are at the load that the page names.
struct JointLine {
    std::string id;
    std::string group;
    std::string phase;
    std::string surface;  // in words, with its emissivity
    Celsius temperature{kNaN};
    double current_a = kNaN;
    double rated_a = kNaN;
    double load_fraction = kNaN;
    Uncertain<KelvinDelta> rise;
    Uncertain<KelvinDelta> rise_at_load;
    Uncertain<KelvinDelta> over_siblings;
    bool lower_bound = false;
    std::optional<AbnormalityClass> abnormality;  // none: not judged
    double probability = kNaN;
    std::string action;    // what the profile asks for; empty below all its steps
    std::string evidence;  // sentence
    std::string limit;     // the step that decides, with its source
    std::vector<std::string> reasons;
    std::string timing;  // cover opened, load held
    std::string note;
};

struct JointPageFrame {
    std::string name;
    std::string svg;  // drawn by thermal_picture_svg
};

// One figure of the profile, or one of its steps.
struct JointPageLimit {
    std::string name;
    std::string value;
    std::string source;
};

struct JointPage {
    std::string program;  // e.g. "heatrow 0.1.0"
    std::string list;     // file name
    std::string profile;  // id and version
    std::string profile_title;
    std::string load_words;  // "at rated current"
    std::vector<JointLine> joints;
    std::vector<JointPageFrame> frames;
    std::vector<JointPageLimit> figures;
    std::vector<JointPageLimit> steps;
    std::vector<std::string> cautions;
};

std::string joint_page_html(const JointPage& page);

}  // namespace heatrow
