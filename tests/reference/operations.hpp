// What the cases of tests/reference/*.ref can ask for. Each room adds its operations in one file of its own,
// <room>_operations.cpp, and names it in runner.cpp.
#pragma once

#include <functional>
#include <map>
#include <string>
#include <vector>

namespace heatrow::reference {

// key=value words behind the operation's name
class Parameters {
  public:
    explicit Parameters(std::map<std::string, std::string> values) : values_(std::move(values)) {}
    // Throws std::runtime_error naming the key if it is missing or no number.
    [[nodiscard]] double number(const std::string& key) const;
    [[nodiscard]] double number(const std::string& key, double fallback) const;
    [[nodiscard]] const std::string& text(const std::string& key) const;
    [[nodiscard]] bool has(const std::string& key) const { return values_.count(key) != 0; }

  private:
    std::map<std::string, std::string> values_;
};

// accept: the words of an `accept` line as numbers, or as text where the operation wants text.
using Operation = std::function<std::vector<double>(const Parameters&, const std::vector<std::string>& accept)>;
using Operations = std::map<std::string, Operation>;

// A word as a number; throws std::runtime_error if it is none.
double to_number(const std::string& word);

void add_radiometry_operations(Operations& operations);
void add_sun_operations(Operations& operations);
void add_score_operations(Operations& operations);
void add_measure_operations(Operations& operations);
void add_camera_operations(Operations& operations);
void add_io_operations(Operations& operations);

}  // namespace heatrow::reference
