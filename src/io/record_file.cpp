#include "heatrow/io/record_file.hpp"

#include "file_at.hpp"
#include "heatrow/core/error.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <libdeflate.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstring>
#include <system_error>
#include <utility>

namespace heatrow {
namespace {

namespace fs = std::filesystem;
using detail::read_at;
using detail::write_at;

constexpr std::string_view kMagic = "heatrow slot records 1\n";
constexpr std::size_t kKeySize = 64;
constexpr std::size_t kFileHead = kMagic.size() + kKeySize + 1;
constexpr std::uint32_t kRecordMark = 0x544f4c53;  // "SLOT"

// Before every record's bytes, in the byte order of the machine.
struct RecordHead {
    std::uint32_t mark = kRecordMark;
    std::uint32_t bytes = 0;  // behind the head
    std::uint32_t checksum = 0;
    std::array<char, kKeySize> key{};
};
static_assert(sizeof(RecordHead) == 12 + kKeySize);

// CRC-32 of size, key and bytes.
std::uint32_t checksum_of(const RecordHead& head, std::span<const std::uint8_t> bytes) {
    const std::uint32_t size = libdeflate_crc32(0, &head.bytes, sizeof head.bytes);
    const std::uint32_t key = libdeflate_crc32(size, head.key.data(), head.key.size());
    return libdeflate_crc32(key, bytes.data(), bytes.size());
}

[[noreturn]] void fail(const fs::path& path, int code) {
    throw Error(ErrorKind::output,
                "cannot keep slot records",
                path.string(),
                std::generic_category().message(code),
                "Name a folder that can be written with --cache, or go without one: --no-cache");
}

std::span<const std::uint8_t> bytes_of(std::string_view text) {
    return {reinterpret_cast<const std::uint8_t*>(text.data()), text.size()};
}

}  // namespace

RecordFile::RecordFile(fs::path path, int descriptor) : path_(std::move(path)), descriptor_(descriptor) {}

RecordFile::~RecordFile() {
    if (descriptor_ >= 0) {
        ::close(descriptor_);  // releases the lock
    }
}

std::unique_ptr<RecordFile> RecordFile::open(const fs::path& path, const RecordKey& purpose) {
    std::error_code problem;
    fs::create_directories(path.parent_path(), problem);
    if (problem) {
        fail(path.parent_path(), problem.value());
    }
    const int descriptor = ::open(path.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0644);
    if (descriptor < 0) {
        fail(path, errno);
    }
    std::unique_ptr<RecordFile> file(new RecordFile(path, descriptor));
    if (::flock(descriptor, LOCK_EX | LOCK_NB) != 0) {
        if (errno == EWOULDBLOCK) {
            return nullptr;
        }
        fail(path, errno);
    }
    file->scan(purpose);
    return file;
}

void RecordFile::scan(const RecordKey& purpose) {
    struct stat status {};
    if (::fstat(descriptor_, &status) != 0) {
        fail(path_, errno);
    }
    const auto size = static_cast<std::uint64_t>(status.st_size);
    const std::string head = std::string(kMagic) + purpose + "\n";
    std::string found(kFileHead, '\0');
    if (size < kFileHead || !read_at(descriptor_, 0, {reinterpret_cast<std::uint8_t*>(found.data()), found.size()}) ||
        found != head) {
        const int code = ::ftruncate(descriptor_, 0) != 0 ? errno : write_at(descriptor_, 0, bytes_of(head));
        if (code != 0) {
            fail(path_, code);
        }
        end_ = kFileHead;
        return;
    }
    end_ = kFileHead;
    RecordHead record;
    while (end_ + sizeof record <= size &&
           read_at(descriptor_, end_, {reinterpret_cast<std::uint8_t*>(&record), sizeof record}) &&
           record.mark == kRecordMark && record.bytes <= size - end_ - sizeof record) {
        places_[RecordKey(record.key.data(), record.key.size())] = {end_, record.bytes};
        end_ += sizeof record + record.bytes;
    }
    if (end_ < size && ::ftruncate(descriptor_, static_cast<off_t>(end_)) != 0) {
        fail(path_, errno);
    }
}

std::optional<std::vector<std::uint8_t>> RecordFile::find(const RecordKey& key) const {
    Place place;
    {
        const std::lock_guard lock(guard_);
        const auto found = places_.find(key);
        if (found == places_.end()) {
            return std::nullopt;
        }
        place = found->second;
    }
    RecordHead head;
    std::vector<std::uint8_t> bytes(place.bytes);
    if (!read_at(descriptor_, place.offset, {reinterpret_cast<std::uint8_t*>(&head), sizeof head}) ||
        !read_at(descriptor_, place.offset + sizeof head, bytes) || head.checksum != checksum_of(head, bytes)) {
        return std::nullopt;
    }
    return bytes;
}

std::string RecordFile::append(const RecordKey& key, std::span<const std::uint8_t> bytes) {
    RecordHead head;
    head.bytes = static_cast<std::uint32_t>(bytes.size());
    std::memcpy(head.key.data(), key.data(), kKeySize);
    head.checksum = checksum_of(head, bytes);
    std::vector<std::uint8_t> record(sizeof head + bytes.size());
    std::memcpy(record.data(), &head, sizeof head);
    std::memcpy(record.data() + sizeof head, bytes.data(), bytes.size());

    const std::lock_guard lock(guard_);
    if (failed_.empty()) {
        if (const int code = write_at(descriptor_, end_, record); code != 0) {
            failed_ = std::generic_category().message(code);
        } else {
            places_[key] = {end_, head.bytes};
            end_ += record.size();
        }
    }
    return failed_;
}

std::size_t RecordFile::size() const {
    const std::lock_guard lock(guard_);
    return places_.size();
}

}  // namespace heatrow
