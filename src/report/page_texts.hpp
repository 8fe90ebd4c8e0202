// The report's fixed texts, in one place.
#pragma once

#include <array>
#include <string>
#include <string_view>
#include <utility>

namespace heatrow {

using TextPair = std::pair<std::string_view, std::string_view>;

inline constexpr std::array<TextPair, 10> kParts = {{
    {"summary", "Summary"},
    {"plan", "Site plan"},
    {"findings", "Findings"},
    {"strings", "Strings"},
    {"review", "Review"},
    {"coverage", "Not assessed"},
    {"placement", "Placement"},
    {"conditions", "Conditions"},
    {"reading", "How to read this"},
    {"cautions", "Cautions"},
}};

inline constexpr std::string_view kRibbonText =
    "Each ribbon shows the modules of one string in wiring order from its positive end, their cells coloured by the "
    "difference from a healthy module. The limits of the scale are the same in the whole report. A string opens its "
    "ribbon.";
inline constexpr std::string_view kReviewText =
    "A qualified person opens a finding and confirms it, rejects it with the reason, gives it another pattern, or "
    "comments. Decisions are kept in this browser until they are saved as a file; `heatrow review apply` takes that "
    "file "
    "into the record, which keeps who decided what and when.";
inline constexpr std::string_view kMapCredit = "The plan is drawn with Leaflet (BSD 2-clause licence).";

// Keys of the page, and what they do.
inline constexpr std::array<TextPair, 8> kKeys = {{
    {"n", "next finding"},
    {"p", "previous finding"},
    {"c", "confirm the finding"},
    {"r", "reject it, then write the reason"},
    {"o", "leave it open"},
    {"l", "to the list"},
    {"m", "to the plan"},
    {"/", "search the list"},
}};
inline constexpr std::string_view kCoverageText =
    "A module that was not seen, not named with certainty or not under conditions that allow a judgement is listed "
    "here. "
    "It is not called healthy.";
inline constexpr std::string_view kScopeText =
    "The program follows the practice of IEC TS 62446-3; it does not certify compliance. Findings are for review by a "
    "qualified thermographer.";

inline constexpr std::array<TextPair, 10> kTerms = {{
    {"Difference of a cell",
     "Mean temperature of the cell, less the median of healthy modules at the same place in the module and its "
     "surroundings on the day."},
    {"Difference of a substring, module or string",
     "Median over its cells after that healthy pattern is removed, against its like neighbours."},
    {"At 1000 W/m²",
     "The measured difference scaled from the irradiance that the module has felt to 1000 W/m², by the exponent that "
     "the "
     "profile gives for the pattern. Left out where scaling has no meaning."},
    {"± and probabilities",
     "± is the half width of the 95 % interval. The class probability is the chance, given that uncertainty, that the "
     "class is right; the pattern probability is the chance that the pattern is."},
    {"Class 1, 2, 3",
     "Classes of abnormality as in IEC TS 62446-3: none, thermal abnormality, safety-relevant. Which difference makes "
     "which class stands in the profile, pattern by pattern."},
    {"Assessed", "Seen, named and under conditions that allow a judgement. Everything else is shown hatched."},
    {"Cells", "r3c4 is row 3, column 4, seen from the front; row 1 lies at the edge that the module type calls top."},
    {"Lower bound", "A spot smaller than the pixels: the true difference is at least the one given."},
    {"Load unknown",
     "No electrical reading says that the string carried current. A string without load shows no hot cells."},
    {"Uncertainty of place",
     "A module that may be one of several is marked with a question mark, and its finding lists the candidates."},
}};

inline constexpr std::array<std::string_view, 5> kUncertaintyTexts = {{
    "± is the half width of a 95 % interval: 1.96 standard uncertainties, taken as normal.",
    "Into a temperature go the camera's offset and gain, its noise, the emissivity of the front, the reflected sky, "
    "the "
    "path through the air, and the share of light that the lens spreads from a small area.",
    "In a difference within a frame the camera's offset and most of what is common to both parts cancel; gain, spread "
    "of "
    "light, emissivity by angle and the scatter between views remain.",
    "Scaling to 1000 W/m² adds the uncertainty of the irradiance and the range of the exponent.",
    "Temperatures stated here are those of the module's front, as the frames' apparent temperatures and the stated "
    "emissivity and reflected temperature give them.",
}};

inline constexpr std::array<std::string_view, 5> kLimitationTexts = {{
    "Thermography shows what is warm at the hour of the survey. Faults that do not warm the front then are not found.",
    "A module without a finding was not warmer than its like beyond the limits of the profile; it is not thereby "
    "certified.",
    "Where no electrical reading tells the load, a string that delivered little shows less than it would under load.",
    "Small hot points are averaged over the pixels that they fill: their true temperature is higher than the one given "
    "(flag: lower bound).",
    "Causes are named by what the thermal pattern supports. Shade, dirt and broken glass need a look at the module.",
}};

inline constexpr std::array<std::string_view, 6> kCautionTexts = {{
    "PV arrays are live whenever there is light, also when the inverter is off. Voltages can be lethal.",
    "Never open a connector or a fuse under load: the arc does not go out by itself.",
    "Electrical work is for licensed, qualified people with the right protective equipment, under local codes.",
    "Roofs and open ground: guard against falls, traffic, heat and weather. Do not step on modules.",
    "Flights: local rules for unmanned aircraft hold.",
    "A safety-relevant finding (class 3) should be looked at before anything else; do not touch the module until it "
    "is.",
}};

std::string caution_items();

}  // namespace heatrow
