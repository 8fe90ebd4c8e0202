// Bytes that a run puts on disk for as long as it lasts. The file has no name: nothing is left of it, whatever ends the
// run.
#pragma once

#include <cstdint>
#include <filesystem>
#include <memory>
#include <mutex>
#include <optional>
#include <span>

namespace heatrow {

// Thread-safe.
class ScratchFile {
  public:
    // Null where the folder takes no file.
    static std::unique_ptr<ScratchFile> open(const std::filesystem::path& folder);

    ScratchFile(const ScratchFile&) = delete;
    ScratchFile& operator=(const ScratchFile&) = delete;
    ~ScratchFile();

    // Where the bytes lie; nothing where they could not be written.
    std::optional<std::uint64_t> append(std::span<const std::uint8_t> bytes);
    // Throws Error(input) where what was written cannot be read.
    void read(std::uint64_t offset, std::span<std::uint8_t> out) const;

  private:
    explicit ScratchFile(int descriptor) : descriptor_(descriptor) {}

    int descriptor_;
    std::mutex guard_;
    std::uint64_t end_ = 0;
};

}  // namespace heatrow
