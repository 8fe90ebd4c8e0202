// Runs the text cases of one or more .ref files:
//
//   # comment
//   source    where the numbers come from
//   flag      V1 | V2 | M | C   (docs/reference-cases.md)
//   operation name key=value ...
//   tolerance 1e-4              absolute; "1e-4 relative" for a share of the expected value
//   accept    20 0.85
//   expect    57.61             as many numbers as the operation returns; "nan" and "*" (any) are allowed
//
// Each `accept`/`expect` pair is one case under the settings above it. Prints one line per case and closes with
// "N passed, N failed"; exits 1 if a case fails, a file has no case, or a line cannot be read.
#include "operations.hpp"

#include <charconv>
#include <cmath>
#include <cstdio>
#include <exception>
#include <fstream>
#include <sstream>
#include <stdexcept>

namespace heatrow::reference {

double to_number(const std::string& word) {
    if (word == "nan") {
        return std::nan("");
    }
    double value = 0.0;
    const auto [end, error] = std::from_chars(word.data(), word.data() + word.size(), value);
    if (error != std::errc{} || end != word.data() + word.size()) {
        throw std::runtime_error("'" + word + "' is no number");
    }
    return value;
}

const std::string& Parameters::text(const std::string& key) const {
    const auto found = values_.find(key);
    if (found == values_.end()) {
        throw std::runtime_error("parameter '" + key + "' is missing");
    }
    return found->second;
}

double Parameters::number(const std::string& key) const {
    return to_number(text(key));
}

double Parameters::number(const std::string& key, double fallback) const {
    return has(key) ? number(key) : fallback;
}

namespace {

std::vector<std::string> split_words(const std::string& text) {
    std::istringstream stream(text);
    std::vector<std::string> words;
    for (std::string word; stream >> word;) {
        words.push_back(word);
    }
    return words;
}

struct Tally {
    int passed = 0;
    int failed = 0;
};

// The settings that hold for the next case.
struct Setting {
    std::string source;
    std::string flag;
    std::string operation;
    std::map<std::string, std::string> parameters;
    double tolerance = -1.0;
    bool relative = false;
    std::vector<std::string> accept;
    bool has_accept = false;
};

bool agrees(const Setting& setting, const std::vector<double>& got, const std::vector<std::string>& expect) {
    if (got.size() != expect.size()) {
        return false;
    }
    for (std::size_t i = 0; i < got.size(); ++i) {
        if (expect[i] == "*") {
            continue;
        }
        const double wanted = to_number(expect[i]);
        if (std::isnan(wanted) || std::isnan(got[i])) {
            if (std::isnan(wanted) != std::isnan(got[i])) {
                return false;
            }
            continue;
        }
        const double tolerance = setting.relative ? setting.tolerance * std::abs(wanted) : setting.tolerance;
        if (!(std::abs(got[i] - wanted) <= tolerance)) {
            return false;
        }
    }
    return true;
}

std::string join(const std::vector<std::string>& words) {
    std::string text;
    for (const auto& word : words) {
        text += (text.empty() ? "" : " ") + word;
    }
    return text;
}

void run_case(const std::string& where,
              const Setting& setting,
              const Operations& operations,
              const std::vector<std::string>& expect,
              Tally& tally) {
    const auto operation = operations.find(setting.operation);
    if (operation == operations.end()) {
        throw std::runtime_error("no operation '" + setting.operation + "'");
    }
    if (setting.source.empty() || setting.flag.empty() || setting.tolerance < 0.0 || !setting.has_accept) {
        throw std::runtime_error("a case needs source, flag, tolerance and accept above its expect");
    }
    const auto got = operation->second(Parameters(setting.parameters), setting.accept);
    const bool ok = agrees(setting, got, expect);
    std::string got_text;
    for (const double value : got) {
        char number[40];
        std::snprintf(number, sizeof number, "%s%.10g", got_text.empty() ? "" : " ", value);
        got_text += number;
    }
    std::printf("%s %s %s(%s): expected %s, got %s, tolerance %g%s [%s; %s]\n",
                ok ? "pass" : "FAIL",
                where.c_str(),
                setting.operation.c_str(),
                join(setting.accept).c_str(),
                join(expect).c_str(),
                got_text.c_str(),
                setting.tolerance,
                setting.relative ? " relative" : "",
                setting.flag.c_str(),
                setting.source.c_str());
    ++(ok ? tally.passed : tally.failed);
}

void read_tolerance(const std::vector<std::string>& words, Setting& setting) {
    if (words.empty() || words.size() > 2 || (words.size() == 2 && words[1] != "relative")) {
        throw std::runtime_error("tolerance takes a number and optionally 'relative'");
    }
    setting.tolerance = to_number(words[0]);
    setting.relative = words.size() == 2;
}

void read_operation(const std::vector<std::string>& words, Setting& setting) {
    if (words.empty()) {
        throw std::runtime_error("operation needs a name");
    }
    setting.operation = words[0];
    setting.parameters.clear();
    for (std::size_t i = 1; i < words.size(); ++i) {
        const auto equals = words[i].find('=');
        if (equals == std::string::npos) {
            throw std::runtime_error("'" + words[i] + "' is not key=value");
        }
        setting.parameters[words[i].substr(0, equals)] = words[i].substr(equals + 1);
    }
}

void run_line(
    const std::string& where, const std::string& line, const Operations& operations, Setting& setting, Tally& tally) {
    const auto words = split_words(line);
    if (words.empty() || words[0].front() == '#') {
        return;
    }
    const std::vector<std::string> rest(words.begin() + 1, words.end());
    if (words[0] == "source") {
        setting.source = join(rest);
    } else if (words[0] == "flag") {
        setting.flag = join(rest);
    } else if (words[0] == "operation") {
        read_operation(rest, setting);
    } else if (words[0] == "tolerance") {
        read_tolerance(rest, setting);
    } else if (words[0] == "accept") {
        setting.accept = rest;
        setting.has_accept = true;
    } else if (words[0] == "expect") {
        run_case(where, setting, operations, rest, tally);
        setting.has_accept = false;
    } else {
        throw std::runtime_error("unknown word '" + words[0] + "'");
    }
}

Tally run_file(const std::string& path, const Operations& operations) {
    std::ifstream file(path);
    if (!file) {
        throw std::runtime_error(path + ": cannot be opened");
    }
    const std::string name = path.substr(path.find_last_of('/') + 1);
    Setting setting;
    Tally tally;
    int line_number = 0;
    for (std::string line; std::getline(file, line);) {
        const std::string where = name + ":" + std::to_string(++line_number);
        try {
            run_line(where, line, operations, setting, tally);
        } catch (const std::exception& problem) {
            std::printf("FAIL %s: %s\n", where.c_str(), problem.what());
            ++tally.failed;
        }
    }
    if (tally.passed + tally.failed == 0) {
        throw std::runtime_error(path + ": holds no case");
    }
    return tally;
}

}  // namespace
}  // namespace heatrow::reference

int main(int argc, char** argv) {
    using namespace heatrow::reference;
    Operations operations;
    add_radiometry_operations(operations);
    add_sun_operations(operations);
    add_score_operations(operations);
    add_measure_operations(operations);
    add_camera_operations(operations);
    add_io_operations(operations);
    Tally total;
    try {
        if (argc < 2) {
            throw std::runtime_error("usage: reference_runner FILE.ref ...");
        }
        for (int i = 1; i < argc; ++i) {
            const Tally tally = run_file(argv[i], operations);
            total.passed += tally.passed;
            total.failed += tally.failed;
        }
    } catch (const std::exception& problem) {
        std::printf("FAIL %s\n", problem.what());
        ++total.failed;
    }
    std::printf("%d passed, %d failed\n", total.passed, total.failed);
    return total.failed == 0 ? 0 : 1;
}
