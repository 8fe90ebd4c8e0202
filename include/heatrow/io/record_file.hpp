// A file of keyed records that only grows, and that a run killed at any moment leaves readable
// (docs/formats/slot-records.md).
#pragma once

#include <cstdint>
#include <filesystem>
#include <map>
#include <memory>
#include <mutex>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace heatrow {

// 64 hexadecimal digits: a hash of everything that a record depends on.
using RecordKey = std::string;

class RecordFile {
  public:
    // Keeps the whole records of an earlier run for the same `purpose`, and cuts off what a killed run left behind
    // them; a file for another purpose, or of another kind, begins anew. Makes the folder. Null where another process
    // has the file open. Throws Error(output) where it cannot be opened or written.
    static std::unique_ptr<RecordFile> open(const std::filesystem::path& path, const RecordKey& purpose);

    RecordFile(const RecordFile&) = delete;
    RecordFile& operator=(const RecordFile&) = delete;
    ~RecordFile();

    // The bytes of the latest record of this key; nothing where there is none, or where it is damaged.
    [[nodiscard]] std::optional<std::vector<std::uint8_t>> find(const RecordKey& key) const;
    // Thread-safe. Returns why nothing was written, and then never writes again, or empty.
    std::string append(const RecordKey& key, std::span<const std::uint8_t> bytes);

    [[nodiscard]] const std::filesystem::path& path() const { return path_; }
    [[nodiscard]] std::size_t size() const;  // records

  private:
    struct Place {
        std::uint64_t offset = 0;  // of the record's head
        std::uint32_t bytes = 0;
    };
    RecordFile(std::filesystem::path path, int descriptor);

    void scan(const RecordKey& purpose);

    std::filesystem::path path_;
    int descriptor_ = -1;
    std::uint64_t end_ = 0;
    std::string failed_;
    mutable std::mutex guard_;
    std::map<RecordKey, Place> places_;
};

}  // namespace heatrow
