// GDAL made quiet and safe for one piece of work.
#pragma once

#include <atomic>
#include <cstdint>
#include <span>
#include <string>

namespace heatrow::detail {

// Registers the drivers once, and keeps GDAL's messages off stderr while it lives; the last one is kept for reasons.
// For one thread; guards nest.
class GdalGuard {
  public:
    GdalGuard();
    ~GdalGuard();
    GdalGuard(const GdalGuard&) = delete;
    GdalGuard& operator=(const GdalGuard&) = delete;

    // The last error since construction, on one line; empty where there was none.
    [[nodiscard]] std::string last_error() const;
    // What went wrong, followed by the last error in brackets where there was one.
    [[nodiscard]] std::string why(const std::string& what) const;
};

// Bytes as a file that GDAL can open, without a copy. The bytes must outlive it.
class GdalMemoryFile {
  public:
    explicit GdalMemoryFile(std::span<const std::uint8_t> bytes);
    ~GdalMemoryFile();
    GdalMemoryFile(const GdalMemoryFile&) = delete;
    GdalMemoryFile& operator=(const GdalMemoryFile&) = delete;

    [[nodiscard]] const char* path() const { return path_.c_str(); }

  private:
    std::string path_;
};

// A file in memory that GDAL writes, gone with the object.
class GdalMemoryTarget {
  public:
    GdalMemoryTarget();
    ~GdalMemoryTarget();
    GdalMemoryTarget(const GdalMemoryTarget&) = delete;
    GdalMemoryTarget& operator=(const GdalMemoryTarget&) = delete;

    [[nodiscard]] const char* path() const { return path_.c_str(); }
    // What was written, once the dataset is closed; empty where nothing was.
    [[nodiscard]] std::string bytes() const;

  private:
    std::string path_;
};

// Picture drivers that read one file and nothing else: no driver that follows references to other files or hosts.
inline constexpr const char* kPictureDrivers[] = {"GTiff", "PNG", "JPEG", "BMP", "GIF", "PNM", "JP2OpenJPEG", nullptr};

}  // namespace heatrow::detail
