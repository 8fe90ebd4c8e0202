#include "heatrow/report/file_stem.hpp"

#include <algorithm>
#include <array>

namespace heatrow {
namespace {

constexpr std::size_t kLongest = 80;

char lower(char c) {
    return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
}

bool is_kept(char c) {
    const char l = lower(c);
    return (l >= 'a' && l <= 'z') || (c >= '0' && c <= '9') || c == '.' || c == '_' || c == '-';
}

// Device names that some systems reserve in every folder, whatever follows a dot.
bool is_reserved(std::string_view folded) {
    constexpr std::array<std::string_view, 4> kDevices = {"con", "prn", "aux", "nul"};
    const std::string_view base = folded.substr(0, folded.find('.'));
    const bool numbered = base.size() == 4 && (base.starts_with("com") || base.starts_with("lpt"));
    return numbered || std::find(kDevices.begin(), kDevices.end(), base) != kDevices.end();
}

std::string fold(std::string_view text) {
    std::string folded(text);
    std::transform(folded.begin(), folded.end(), folded.begin(), lower);
    return folded;
}

std::string safe_stem(std::string_view name) {
    std::string stem;
    for (const char c : name) {
        if (is_kept(c)) {
            stem += c;
        } else if (stem.empty() || stem.back() != '_') {
            stem += '_';
        }
    }
    stem.resize(std::min(stem.size(), kLongest));
    const std::size_t first = stem.find_first_not_of(".-_");
    stem = first == std::string::npos ? "string" : stem.substr(first);
    stem.erase(stem.find_last_not_of('.') + 1);
    return is_reserved(fold(stem)) ? "string-" + stem : stem;
}

}  // namespace

std::string FileStems::claim(std::string_view name) {
    const std::string stem = safe_stem(name);
    std::string candidate = stem;
    for (int n = 2; !taken_.insert(fold(candidate)).second; ++n) {
        candidate = stem + "-" + std::to_string(n);
    }
    return candidate;
}

}  // namespace heatrow
