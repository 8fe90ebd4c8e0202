#include "heatrow/io/frame_set.hpp"

#include "heatrow/core/error.hpp"
#include "heatrow/site/layout.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <map>

namespace heatrow {
namespace {

namespace fs = std::filesystem;

constexpr std::string_view kFailed = "cannot find the frames";

// "3 x .tiff, 1 x .csv": what a folder holds instead of frames.
std::string contents_in_words(const std::map<std::string, int>& files_by_extension) {
    std::string words;
    for (const auto& [extension, count] : files_by_extension) {
        words += fmt::format(
            "{}{} x {}", words.empty() ? "" : ", ", count, extension.empty() ? "(no extension)" : extension);
    }
    return words.empty() ? "no file" : words;
}

}  // namespace

bool matches_pattern(std::string_view name, std::string_view pattern) {
    std::size_t at = 0;
    std::size_t p = 0;
    std::size_t star = std::string_view::npos;  // the last '*' and where its run began
    std::size_t run = 0;
    while (at < name.size()) {
        if (p < pattern.size() && pattern[p] == '*') {
            star = p++;
            run = at;
        } else if (p < pattern.size() && (pattern[p] == '?' || pattern[p] == name[at])) {
            ++p;
            ++at;
        } else if (star != std::string_view::npos) {
            p = star + 1;
            at = ++run;
        } else {
            return false;
        }
    }
    return pattern.find_first_not_of('*', p) == std::string_view::npos;
}

std::vector<FrameFile> list_frames(const fs::path& folder, std::string_view pattern) {
    if (!fs::is_directory(folder)) {
        throw Error(
            ErrorKind::input, kFailed, folder.string(), "no such folder", "Correct frames.folder in survey.toml");
    }
    std::vector<FrameFile> frames;
    std::map<std::string, int> others;
    for (const auto& entry : fs::directory_iterator(folder)) {
        if (!entry.is_regular_file()) {
            continue;
        }
        std::string name = entry.path().filename().string();
        if (matches_pattern(name, pattern)) {
            frames.push_back({std::move(name), entry.path()});
        } else {
            ++others[entry.path().extension().string()];
        }
    }
    if (frames.empty()) {
        throw Error(
            ErrorKind::input,
            kFailed,
            folder.string(),
            fmt::format("no frame: no file matches \"{}\"; the folder holds {}", pattern, contents_in_words(others)),
            "Correct frames.folder or frames.files in survey.toml");
    }
    std::sort(frames.begin(), frames.end(), [](const FrameFile& a, const FrameFile& b) {
        // Names that differ only in leading zeros compare equal as numbers; the plain order then decides.
        return natural_less(a.name, b.name) || (!natural_less(b.name, a.name) && a.name < b.name);
    });
    return frames;
}

}  // namespace heatrow
