#include "scene_facts.hpp"

#include "csv_table.hpp"

#include <fmt/format.h>

#include <charconv>
#include <limits>

namespace scene {

void SceneFacts::set(const std::string& key, double value) {
    values_[key] = fmt::format("{:.6g}", value);
}

std::string SceneFacts::text(std::string_view key) const {
    const auto found = values_.find(key);
    return found == values_.end() ? std::string() : found->second;
}

double SceneFacts::number(std::string_view key) const {
    const std::string value = text(key);
    double result = std::numeric_limits<double>::quiet_NaN();
    std::from_chars(value.data(), value.data() + value.size(), result);
    return result;
}

std::string SceneFacts::to_csv() const {
    std::string out = "key,value\n";
    for (const auto& [key, value] : values_) {
        out += fmt::format("{},{}\n", key, csv_field(value));
    }
    return out;
}

SceneFacts SceneFacts::read(const std::filesystem::path& file) {
    const CsvTable table = CsvTable::read(file, {"key", "value"});
    SceneFacts facts;
    for (std::size_t row = 0; row < table.size(); ++row) {
        facts.set(table.text(row, "key"), table.text(row, "value"));
    }
    return facts;
}

}  // namespace scene
