#include "season_spec.hpp"

#include "toml_section.hpp"

namespace scene {
namespace {

std::optional<double> maybe_number(Section& section, std::string_view key) {
    return section.has(key) ? std::optional(section.number(key)) : std::nullopt;
}

void read_changes(Section& section, SeasonSpec& season) {
    season.repaired = section.texts("repaired");
    season.repairs = section.integer("repairs", 0);
    season.grown = section.texts("grown");
    season.growths = section.integer("growths", 0);
    const auto range = section.numbers_of("growth", 2, {season.growth_low, season.growth_high});
    season.growth_low = range[0];
    season.growth_high = range[1];
    season.replaced = section.texts("replaced");
    season.replacements = section.integer("replacements", 0);
    for (const Section& fault : section.sections("fault")) {
        season.faults.push_back(read_fault(fault));
    }
    for (const Section& faults : section.sections("random_faults")) {
        season.random_faults.push_back(read_random_faults(faults));
    }
    for (Section rename : section.sections("rename")) {
        const std::string from = rename.text("from");
        season.renames.emplace_back(from, rename.text("to"));
        rename.finish();
    }
}

}  // namespace

SeasonSpec read_season(Section section, bool first) {
    SeasonSpec season;
    season.id = section.text("id");
    if (season.id.empty() || season.id.find_first_not_of("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ"
                                                         "0123456789-_") != std::string::npos) {
        section.fail("id", "names a folder: letters, digits, '-' and '_'");
    }
    if (section.has("start_utc")) {
        season.start = read_utc(section, "start_utc");
    }
    season.irradiance_w_m2 = maybe_number(section, "irradiance_w_m2");
    season.air_c = maybe_number(section, "air_c");
    season.wind_m_s = maybe_number(section, "wind_m_s");
    if (!first) {  // what the first season could differ from does not exist
        read_changes(section, season);
    }
    section.finish();
    return season;
}

std::string renamed(const std::vector<std::pair<std::string, std::string>>& renames, const std::string& id) {
    for (const auto& [from, to] : renames) {
        if (id.starts_with(from)) {
            return to + id.substr(from.size());
        }
    }
    return id;
}

}  // namespace scene
