// By what a file is known again without reading it.
#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>

namespace heatrow {

// Size, and the times of the last change of content and of anything about it, ns since 1970. No program can set the
// last one back.
struct FileStamp {
    std::uint64_t bytes = 0;
    std::int64_t modified_ns = 0;
    std::int64_t changed_ns = 0;

    friend bool operator==(const FileStamp&, const FileStamp&) = default;
};

// Nothing where there is no such file.
std::optional<FileStamp> stamp_of(const std::filesystem::path& file);

}  // namespace heatrow
