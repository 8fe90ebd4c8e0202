#include "layout_check_output.hpp"

#include "heatrow/core/fixed_text.hpp"
#include "heatrow/io/layout_writer.hpp"
#include "heatrow/io/output_file.hpp"
#include "rounded_json.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

namespace heatrow::cli {
namespace {

using Json = nlohmann::ordered_json;

// "12 strings", "1 string".
std::string counted(int number, std::string_view thing) {
    return fmt::format("{} {}{}", number, thing, number == 1 ? "" : "s");
}

std::string home_text(const StringCount& string) {
    std::string text;
    for (const auto& [name, value] : {std::pair("combiner", &string.combiner),
                                      std::pair("inverter", &string.inverter),
                                      std::pair("input", &string.input)}) {
        text += value->empty() ? std::string() : fmt::format("  {} {}", name, *value);
    }
    return text;
}

// "20 strings of 20 modules, 1 of 19".
template <class Sizes>
std::string sizes_text(const Sizes& counts) {
    std::string text;
    for (auto size = counts.rbegin(); size != counts.rend(); ++size) {
        text += fmt::format("{}{} of {}", text.empty() ? "" : ", ", size->second, counted(size->first, "module"));
    }
    return text;
}

}  // namespace

std::string layout_counts_text(const LayoutCheck& check, bool all) {
    std::string out = fmt::format("modules   {}\n", check.modules);
    double power_w = 0.0;
    for (const auto& [id, type] : check.types) {
        power_w += type.rated_power_w;
        out += fmt::format("          {:>6}  {}{}\n",
                           type.modules,
                           id,
                           type.rated_power_w > 0.0
                               ? fmt::format(", {} kW rated", fixed_text(type.rated_power_w / 1000.0, 2))
                               : std::string());
    }
    out += fmt::format(
        "rated     {} kW, {} m2 of modules\n", fixed_text(power_w / 1000.0, 2), fixed_text(check.area_m2, 1));
    std::map<int, int> strings;
    for (const StringCount& string : check.strings) {
        ++strings[string.modules];
    }
    std::map<int, int> tables;
    for (const auto& [id, modules] : check.tables) {
        ++tables[modules];
    }
    out += fmt::format("strings   {}{}{}\n", check.strings.size(), strings.empty() ? "" : ": ", sizes_text(strings));
    if (all) {
        for (const StringCount& string : check.strings) {
            out +=
                fmt::format("          {:>6}  {}  ({}){}\n", string.modules, string.id, string.type, home_text(string));
        }
    }
    out += fmt::format("tables    {}{}{}\n", check.tables.size(), tables.empty() ? "" : ": ", sizes_text(tables));
    if (all) {
        for (const auto& [id, modules] : check.tables) {
            out += fmt::format("          {:>6}  {}\n", modules, id);
        }
    }
    if (check.without_string > 0) {
        out += fmt::format("          {} in no string\n", counted(check.without_string, "module"));
    }
    if (check.without_table > 0) {
        out += fmt::format("          {} on no table\n", counted(check.without_table, "module"));
    }
    if (check.modules > 0) {
        out += fmt::format("place     longitude {} to {}, latitude {} to {}\n",
                           fixed_text(check.low_longitude_deg, 6),
                           fixed_text(check.high_longitude_deg, 6),
                           fixed_text(check.low_latitude_deg, 6),
                           fixed_text(check.high_latitude_deg, 6));
    }
    return out;
}

std::string layout_problems_text(const LayoutCheck& check, int most) {
    std::map<LayoutDoubt, int> total;
    for (const LayoutProblem& problem : check.problems) {
        ++total[problem.doubt];
    }
    std::string out;
    std::map<LayoutDoubt, int> shown;
    for (const LayoutProblem& problem : check.problems) {
        const int number = ++shown[problem.doubt];
        if (number > most) {
            if (number == most + 1) {
                out += fmt::format("{}: {} more like these (--json lists all)\n",
                                   to_string(problem.doubt),
                                   total[problem.doubt] - most);
            }
            continue;
        }
        out += fmt::format("{}{}: {}: {}. {}.\n",
                           to_string(problem.doubt),
                           is_refused(problem.doubt) ? " (analyse refuses this)" : "",
                           problem.entity,
                           problem.why,
                           problem.remedy);
    }
    return out;
}

std::string layout_check_json(const LayoutCheck& check, const std::string& file) {
    Json json;
    json["schema"] = "heatrow-layout-check/1";
    json["file"] = file;
    json["modules"] = check.modules;
    json["area_m2"] = rounded(check.area_m2, 2);
    for (const auto& [id, type] : check.types) {
        json["types"].push_back(
            {{"type", id},
             {"modules", type.modules},
             {"rated_power_kw", type.rated_power_w > 0.0 ? rounded(type.rated_power_w / 1000.0, 3) : Json(nullptr)}});
    }
    json["strings"] = Json::array();
    for (const StringCount& string : check.strings) {
        json["strings"].push_back({{"string", string.id},
                                   {"type", string.type},
                                   {"modules", string.modules},
                                   {"combiner", string.combiner},
                                   {"inverter", string.inverter},
                                   {"input", string.input}});
    }
    json["tables"] = Json::array();
    for (const auto& [id, modules] : check.tables) {
        json["tables"].push_back({{"table", id}, {"modules", modules}});
    }
    json["modules_without_string"] = check.without_string;
    json["modules_without_table"] = check.without_table;
    json["longitude"] = {rounded(check.low_longitude_deg, 7), rounded(check.high_longitude_deg, 7)};
    json["latitude"] = {rounded(check.low_latitude_deg, 7), rounded(check.high_latitude_deg, 7)};
    json["refused_by_analyse"] = check.is_refused();
    json["problems"] = Json::array();
    for (const LayoutProblem& problem : check.problems) {
        json["problems"].push_back({{"problem", to_string(problem.doubt)},
                                    {"refused_by_analyse", is_refused(problem.doubt)},
                                    {"entity", problem.entity},
                                    {"why", problem.why},
                                    {"remedy", problem.remedy}});
    }
    // Names from a file may hold bytes that are no UTF-8.
    return json.dump(2, ' ', false, nlohmann::json::error_handler_t::replace);
}

void publish_layout(const std::vector<PlannedModule>& modules,
                    const SiteOrigin& origin,
                    const ModuleTypeCatalogue& types,
                    const LayoutOutput& output) {
    publish_file(output.path, layout_geojson(modules, origin), output.overwrite);
    if (output.quiet) {
        return;
    }
    const LayoutCheck check = check_layout(output.path, types);
    fmt::print("{}", layout_counts_text(check, false));
    std::fflush(stdout);
    constexpr int kMostShown = 3;
    fmt::print(stderr, "{}", layout_problems_text(check, kMostShown));
}

}  // namespace heatrow::cli
