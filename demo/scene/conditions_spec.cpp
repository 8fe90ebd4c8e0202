#include "conditions_spec.hpp"

#include "toml_section.hpp"

namespace scene {

ConditionsSpec read_conditions(Section section) {
    ConditionsSpec conditions;
    conditions.irradiance_w_m2 = section.number("irradiance_w_m2", conditions.irradiance_w_m2);
    conditions.drift_w_m2 = section.number("drift_w_m2", conditions.drift_w_m2);
    conditions.air_c = section.number("air_c", conditions.air_c);
    conditions.wind_m_s = section.number("wind_m_s", conditions.wind_m_s);
    conditions.gust_m_s = section.number("gust_m_s", conditions.gust_m_s);
    conditions.settling_s = section.number("settling_s", conditions.settling_s);
    for (Section& item : section.sections("dip")) {
        DipSpec dip;
        dip.from_s = item.number("from_s");
        dip.to_s = item.number("to_s");
        dip.irradiance_w_m2 = item.number("irradiance_w_m2");
        dip.edge_s = item.number("edge_s", dip.edge_s);
        item.finish();
        conditions.dips.push_back(dip);
    }
    const auto fraction = [](Section& from) {
        const double value = from.number("load_fraction", 1.0);
        if (!(value >= 0.0 && value <= 1.0)) {
            from.fail("load_fraction", "must lie between 0 and 1");
        }
        return value;
    };
    conditions.load_fraction = fraction(section);
    conditions.direct_share = section.number("direct_share", conditions.direct_share);
    conditions.clip_w_m2 = section.number("clip_w_m2", conditions.clip_w_m2);
    conditions.log_load = section.boolean("log_load", conditions.log_load);
    for (Section& item : section.sections("string_load")) {
        const std::string string = item.text("string");
        conditions.string_load_fractions[string] = fraction(item);
        item.finish();
    }
    section.finish();
    return conditions;
}

}  // namespace scene
