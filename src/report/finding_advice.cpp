#include "heatrow/report/finding_advice.hpp"

namespace heatrow {

std::string_view advice_for(Pattern pattern) {
    using enum Pattern;
    switch (pattern) {
        case open_circuit_module:
            return "The module delivers nothing while its string does. Look at its connectors and leads, and its "
                   "module "
                   "electronics if it has any; measure its open-circuit voltage once it is isolated.";
        case short_circuited_module:
            return "Replace the module once its curve or open-circuit voltage, measured, shows that it is shorted; "
                   "look at its "
                   "junction box first.";
        case substring_open_circuit:
        case substring_short_circuited:
            return "A third of the module is lost. Replace the module, or the diode at fault where its junction box "
                   "can be "
                   "opened, once the module's curve or voltage, measured, shows it.";
        case substring_bypassed:
            return "Measure the module's curve or voltage: a third that is bypassed costs its voltage. Look for shade "
                   "or dirt on it, then at bypass diode and solder joints in the junction box.";
        case substring_bypassed_by_cell:
            return "Replace the module, unless shade or dirt on the hot cell is what bypasses its third: look at the "
                   "cell "
                   "from front and back first, for broken glass, burn marks and a raised back sheet too.";
        case hot_cell:
        case multiple_hot_cells:
        case part_of_cell:
        case hot_point:
            return "Look at the cell from front and back for shade, dirt, broken glass, burn marks and a raised back "
                   "sheet. Clean what shades it; replace the module where it is damaged or the heat stays.";
        case cell_interconnect:
            return "A joint between cells runs hot. Look for burn marks; replace the module.";
        case junction_box:
            return "With the string isolated, tighten or make anew the contacts of the junction box and its "
                   "connectors; "
                   "replace what heat has damaged.";
        case potential_induced_degradation:
        case patchwork_cause_open:
            return "Measure the string's modules and its insulation to ground; compare the ends of the string.";
        case shading:
            return "Remove what throws the shade, or note it as a property of the place.";
        case soiling:
        case external_cause_possible:
            return "Look at the module's front; clean it or remove what lies on it, and look again.";
        case broken_glass_suspected:
            return "Do not touch the module: broken glass can carry the string's voltage. Isolate, then replace.";
        case string_open_circuit:
            return "The string carries no current. Check fuse, switch, connectors and cables.";
        case string_off:
            return "The string was switched off. It could not be assessed; survey it again under load.";
        case string_warm_cause_open:
            return "The whole string is warmer than its neighbours. Measure its current; check fuse, switch, "
                   "connectors and the inverter's input.";
        case module_missing:
        case module_replaced:
        case module_cooler:
            return "Compare what is mounted with the plan; correct the plan or the register.";
    }
    return "Look at the module on site.";
}

std::string advice_text(const Finding& finding) {
    return std::string(advice_for(finding.pattern)) +
           (finding.abnormality == AbnormalityClass::safety_relevant
                ? " Safety-relevant: look at it before anything else, do not touch the module before it is isolated."
                : " Work on it only isolated, by qualified people under local codes.");
}

}  // namespace heatrow
