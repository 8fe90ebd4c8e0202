// Strict reading of one TOML table: every key must be asked for, a wrong kind or an unknown key ends the program with
// the file, the line and the key.
#pragma once

#include "heatrow/core/time.hpp"

#include <Eigen/Core>
#include <toml++/toml.h>

#include <array>
#include <filesystem>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

namespace scene {

toml::table parse_toml(const std::filesystem::path& file);

class Section {
  public:
    Section(const toml::table& table, std::string name, std::filesystem::path file)
        : table_(&table), name_(std::move(name)), file_(std::move(file)) {}

    [[nodiscard]] bool has(std::string_view key) const { return table_->contains(key); }

    double number(std::string_view key);
    double number(std::string_view key, double fallback);
    int integer(std::string_view key);
    int integer(std::string_view key, int fallback);
    std::string text(std::string_view key);
    std::string text(std::string_view key, std::string_view fallback);
    bool boolean(std::string_view key, bool fallback);
    std::vector<double> numbers(std::string_view key);
    std::vector<double> numbers(std::string_view key, std::vector<double> fallback);
    std::vector<std::string> texts(std::string_view key);
    // Exactly `count` numbers.
    std::vector<double> numbers_of(std::string_view key, std::size_t count, std::vector<double> fallback);
    Eigen::Vector2d vector2(std::string_view key, std::vector<double> fallback);
    Eigen::Vector3d vector3(std::string_view key);
    // A table of its own, or nothing.
    std::optional<Section> section(std::string_view key);
    // An array of tables; empty where the key is missing.
    std::vector<Section> sections(std::string_view key);
    // A table, or an array of tables; empty where the key is missing.
    std::vector<Section> one_or_more(std::string_view key);

    // Ends the reading: any key that was not asked for is an error.
    void finish() const;
    [[noreturn]] void fail(std::string_view key, std::string_view why) const;

  private:
    const toml::node* find(std::string_view key);
    const toml::node& require(std::string_view key);

    const toml::table* table_;
    std::string name_;
    std::filesystem::path file_;
    std::set<std::string, std::less<>> asked_;
};

// A date and time in UTC, required.
heatrow::UtcTime read_utc(Section& section, std::string_view key);

}  // namespace scene
