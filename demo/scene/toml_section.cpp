#include "toml_section.hpp"

#include "heatrow/core/error.hpp"

#include <fmt/format.h>

#include <sstream>

namespace scene {
namespace {

using heatrow::Error;
using heatrow::ErrorKind;

double as_number(const Section& section, std::string_view key, const toml::node& node) {
    const auto value = node.value<double>();
    if (!value || !std::isfinite(*value)) {
        section.fail(key, "must be a finite number");
    }
    return *value;
}

}  // namespace

toml::table parse_toml(const std::filesystem::path& file) {
    try {
        return toml::parse_file(file.string());
    } catch (const toml::parse_error& error) {
        std::ostringstream where;
        where << file.string() << ", line " << error.source().begin.line;
        throw Error(ErrorKind::usage,
                    "Could not read the description",
                    where.str(),
                    error.description(),
                    "Check that the file exists and is valid TOML.");
    }
}

void Section::fail(std::string_view key, std::string_view why) const {
    const toml::node* node = table_->get(key);
    const auto line = node != nullptr ? node->source().begin.line : table_->source().begin.line;
    const std::string path = name_.empty() ? std::string(key) : fmt::format("{}.{}", name_, key);
    throw Error(ErrorKind::usage,
                "Could not use the description",
                fmt::format("{}, line {}", file_.string(), line),
                fmt::format("{} {}", path, why),
                "All keys are listed in docs/scenes.md.");
}

const toml::node* Section::find(std::string_view key) {
    asked_.emplace(key);
    return table_->get(key);
}

const toml::node& Section::require(std::string_view key) {
    const toml::node* node = find(key);
    if (node == nullptr) {
        fail(key, "is missing");
    }
    return *node;
}

double Section::number(std::string_view key) {
    return as_number(*this, key, require(key));
}

double Section::number(std::string_view key, double fallback) {
    const toml::node* node = find(key);
    return node == nullptr ? fallback : as_number(*this, key, *node);
}

int Section::integer(std::string_view key) {
    const auto value = require(key).value_exact<std::int64_t>();
    if (!value || *value < -1'000'000'000 || *value > 1'000'000'000) {
        fail(key, "must be a whole number");
    }
    return static_cast<int>(*value);
}

int Section::integer(std::string_view key, int fallback) {
    return find(key) == nullptr ? fallback : integer(key);
}

std::string Section::text(std::string_view key) {
    const auto value = require(key).value_exact<std::string>();
    if (!value) {
        fail(key, "must be a text");
    }
    return *value;
}

std::string Section::text(std::string_view key, std::string_view fallback) {
    return find(key) == nullptr ? std::string(fallback) : text(key);
}

bool Section::boolean(std::string_view key, bool fallback) {
    const toml::node* node = find(key);
    if (node == nullptr) {
        return fallback;
    }
    const auto value = node->value_exact<bool>();
    if (!value) {
        fail(key, "must be true or false");
    }
    return *value;
}

std::vector<double> Section::numbers(std::string_view key) {
    const toml::array* array = require(key).as_array();
    if (array == nullptr) {
        fail(key, "must be a list of numbers");
    }
    std::vector<double> result;
    for (const toml::node& node : *array) {
        result.push_back(as_number(*this, key, node));
    }
    return result;
}

std::vector<double> Section::numbers(std::string_view key, std::vector<double> fallback) {
    return find(key) == nullptr ? std::move(fallback) : numbers(key);
}

std::vector<double> Section::numbers_of(std::string_view key, std::size_t count, std::vector<double> fallback) {
    std::vector<double> result = numbers(key, std::move(fallback));
    if (result.size() != count) {
        fail(key, fmt::format("must hold {} numbers", count));
    }
    return result;
}

Eigen::Vector2d Section::vector2(std::string_view key, std::vector<double> fallback) {
    const std::vector<double> values = numbers_of(key, 2, std::move(fallback));
    return {values[0], values[1]};
}

Eigen::Vector3d Section::vector3(std::string_view key) {
    const std::vector<double> values = numbers_of(key, 3, {});
    return {values[0], values[1], values[2]};
}

std::vector<std::string> Section::texts(std::string_view key) {
    const toml::node* node = find(key);
    if (node == nullptr) {
        return {};
    }
    const toml::array* array = node->as_array();
    if (array == nullptr) {
        fail(key, "must be a list of texts");
    }
    std::vector<std::string> result;
    for (const toml::node& item : *array) {
        const auto value = item.value_exact<std::string>();
        if (!value) {
            fail(key, "must be a list of texts");
        }
        result.push_back(*value);
    }
    return result;
}

std::optional<Section> Section::section(std::string_view key) {
    const toml::node* node = find(key);
    if (node == nullptr) {
        return std::nullopt;
    }
    if (!node->is_table()) {
        fail(key, "must be a table");
    }
    return Section(*node->as_table(), name_.empty() ? std::string(key) : fmt::format("{}.{}", name_, key), file_);
}

std::vector<Section> Section::sections(std::string_view key) {
    const toml::node* node = find(key);
    std::vector<Section> result;
    if (node == nullptr) {
        return result;
    }
    const toml::array* array = node->as_array();
    if (array == nullptr) {
        fail(key, "must be an array of tables");
    }
    for (const toml::node& item : *array) {
        if (!item.is_table()) {
            fail(key, "must be an array of tables");
        }
        result.emplace_back(
            *item.as_table(), name_.empty() ? std::string(key) : fmt::format("{}.{}", name_, key), file_);
    }
    return result;
}

std::vector<Section> Section::one_or_more(std::string_view key) {
    const toml::node* node = find(key);
    if (node != nullptr && node->is_table()) {
        return {*section(key)};
    }
    return sections(key);
}

void Section::finish() const {
    for (const auto& [key, node] : *table_) {
        if (!asked_.contains(key.str())) {
            fail(key.str(), "is not a known key");
        }
    }
}

heatrow::UtcTime read_utc(Section& section, std::string_view key) {
    const auto parsed = heatrow::parse_iso8601(section.text(key));
    if (!parsed) {
        section.fail(key, "must be a date and time such as 2026-06-17T11:00:00");
    }
    return heatrow::UtcTime(parsed->written.time_since_epoch());
}

}  // namespace scene
