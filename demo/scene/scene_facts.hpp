// What the truth says about a rendering as a whole: truth/scene.csv, a key and a value a row.
#pragma once

#include <filesystem>
#include <map>
#include <string>
#include <string_view>

namespace scene {

class SceneFacts {
  public:
    void set(const std::string& key, const std::string& value) { values_[key] = value; }
    void set(const std::string& key, double value);

    [[nodiscard]] bool has(std::string_view key) const { return values_.contains(key); }
    // Empty and NaN where the key is missing.
    [[nodiscard]] std::string text(std::string_view key) const;
    [[nodiscard]] double number(std::string_view key) const;

    [[nodiscard]] std::string to_csv() const;
    static SceneFacts read(const std::filesystem::path& file);

  private:
    std::map<std::string, std::string, std::less<>> values_;
};

}  // namespace scene
