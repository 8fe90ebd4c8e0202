// TOML files with complaints that a person can act on: every one names file, line, key, value and remedy.
#pragma once

#include <toml++/toml.h>

#include <array>
#include <cmath>
#include <filesystem>
#include <initializer_list>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace heatrow::detail {

// What a number may be; the ends are allowed unless `open`.
struct Range {
    double low = -HUGE_VAL;
    double high = HUGE_VAL;
    bool low_open = false;
};
inline constexpr Range kPositive{0.0, HUGE_VAL, true};
inline constexpr Range kNotNegative{0.0, HUGE_VAL};

// The keys that a table may have.
class KnownKeys {
  public:
    KnownKeys(std::initializer_list<std::string_view> keys) : keys_(keys) {}
    KnownKeys(const std::vector<std::string_view>& keys) : keys_(keys) {}
    [[nodiscard]] const std::vector<std::string_view>& list() const { return keys_; }

  private:
    std::vector<std::string_view> keys_;
};

class TomlDocument;

// One table of a document. Construction refuses keys that are not known.
class TomlSection {
  public:
    TomlSection(const TomlDocument& document, const toml::table& table, std::string name, const KnownKeys& known);

    [[nodiscard]] bool has(std::string_view key) const { return table_->contains(key); }
    [[nodiscard]] bool is_array(std::string_view key) const {
        const toml::node* node = table_->get(key);
        return node != nullptr && node->is_array();
    }
    [[nodiscard]] std::string text(std::string_view key) const;
    [[nodiscard]] std::optional<std::string> optional_text(std::string_view key) const;
    [[nodiscard]] double number(std::string_view key, Range range = {}) const;
    [[nodiscard]] std::optional<double> optional_number(std::string_view key, Range range = {}) const;
    [[nodiscard]] int integer(std::string_view key, int low, int high) const;
    [[nodiscard]] std::optional<bool> optional_boolean(std::string_view key) const;
    [[nodiscard]] std::optional<std::vector<double>> optional_numbers(std::string_view key, std::size_t count) const;
    [[nodiscard]] std::vector<std::string> texts(std::string_view key) const;
    // A table whose keys are names of the user's own; empty where it is missing.
    [[nodiscard]] std::map<std::string, std::string> text_map(std::string_view key) const;
    [[nodiscard]] TomlSection section(std::string_view key, const KnownKeys& known) const;
    [[nodiscard]] std::optional<TomlSection> optional_section(std::string_view key, const KnownKeys& known) const;
    // Tables of `[[key]]`; none where the key is missing.
    [[nodiscard]] std::vector<TomlSection> sections(std::string_view key, const KnownKeys& known) const;

    // The value that belongs to one of the words, or the first of them.
    template <class T, std::size_t N>
    [[nodiscard]] T choice(std::string_view key, const std::array<std::pair<std::string_view, T>, N>& words) const {
        const auto chosen = optional_text(key);
        if (!chosen) {
            return words.front().second;
        }
        std::vector<std::string> names;
        for (const auto& [word, value] : words) {
            if (word == *chosen) {
                return value;
            }
            names.emplace_back(word);
        }
        fail_choice(key, *chosen, names);
    }

    // Throws Error(usage) about this key, or about the section where `key` is empty.
    [[noreturn]] void fail(std::string_view key, std::string_view why, std::string_view remedy) const;
    // "survey.toml, line 3, camera.width_px".
    [[nodiscard]] std::string where(std::string_view key) const;

  private:
    [[nodiscard]] const toml::node& require(std::string_view key) const;
    [[noreturn]] void fail_choice(std::string_view key,
                                  const std::string& chosen,
                                  const std::vector<std::string>& names) const;
    [[nodiscard]] double as_number(const toml::node& node, std::string_view key, Range range) const;
    [[nodiscard]] std::string path_of(std::string_view key) const;
    void refuse_unknown_keys(const KnownKeys& known) const;

    const TomlDocument* document_;
    const toml::table* table_;
    std::string name_;
};

class TomlDocument {
  public:
    // `what_failed` opens every message, e.g. "cannot read the settings". Throws Error(usage) for a syntax error.
    TomlDocument(std::string_view text, std::filesystem::path file, std::string what_failed);

    [[nodiscard]] TomlSection root(const KnownKeys& known) const;
    [[nodiscard]] const std::filesystem::path& file() const { return file_; }
    [[nodiscard]] const std::string& what_failed() const { return what_failed_; }

  private:
    std::filesystem::path file_;
    std::string what_failed_;
    toml::table table_;
};

// The text of a file. Throws Error(usage) if it cannot be read.
std::string read_text_file(const std::filesystem::path& file, std::string_view what_failed, std::string_view remedy);

}  // namespace heatrow::detail
