#include "page_ribbons.hpp"

#include "heatrow/report/markup.hpp"
#include "heatrow/report/string_ribbon.hpp"
#include "packed_text.hpp"
#include "shown_cells.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace heatrow {
namespace {

std::string ribbon_json(const ReportModel& model, const StringView& string) {
    const SurveyRecord& record = *model.record;
    std::string modules;
    for (const int index : string.modules) {
        const ModuleResult& result = record.modules[static_cast<std::size_t>(index)];
        if (!shows_cells(result)) {
            continue;
        }
        const Module& module = record.layout.modules[static_cast<std::size_t>(index)];
        modules += (modules.empty() ? "\"" : ",\"") + std::to_string(index) + "\":{\"id\":" + json_string(module.id) +
                   ",\"type\":" + std::to_string(module.type) + ",\"cells\":\"" + cells_text(result) + "\"}";
    }
    return "{\"svg\":" + json_string(string_ribbon_svg(model, string, RibbonUse::page)) + ",\"modules\":{" + modules +
           "}}";
}

// Strings by the rank of their gravest finding, those without one last.
std::vector<std::size_t> gravest_first(const ReportModel& model) {
    std::vector<std::size_t> order(model.strings.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    const auto rank = [&](std::size_t i) {
        const std::vector<int>& findings = model.strings[i].findings;
        return findings.empty() ? model.record->findings.size() : static_cast<std::size_t>(findings.front());
    };
    std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return rank(a) < rank(b); });
    return order;
}

}  // namespace

std::string cells_text(const ModuleResult& result) {
    constexpr std::string_view kDigits = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz-_";
    std::string out;
    for (const CellResult& cell : result.cells) {
        const double tenths = cell.delta_t_1000.value() * 10.0;
        const auto code = static_cast<std::size_t>(
            cell.delta_t_1000.is_known() ? std::clamp(std::lround(tenths) + 2048L, 0L, 4094L) : 4095L);
        out += kDigits[code / 64];
        out += kDigits[code % 64];
    }
    return out;
}

std::string page_ribbons_json(const ReportModel& model) {
    std::vector<std::string> packed(model.strings.size(), "null");
    std::size_t used = 0;
    for (const std::size_t i : gravest_first(model)) {
        const std::string text = "\"" + packed_text(ribbon_json(model, model.strings[i])) + "\"";
        if (used + text.size() > kRibbonBudget) {
            break;
        }
        used += text.size();
        packed[i] = text;
    }
    std::string out = "[";
    for (std::size_t i = 0; i < packed.size(); ++i) {
        out += (i == 0 ? "\n" : ",\n") + packed[i];
    }
    return out + "]";
}

}  // namespace heatrow
