#include "file_at.hpp"

#include <unistd.h>

#include <cerrno>

namespace heatrow::detail {

bool read_at(int descriptor, std::uint64_t offset, std::span<std::uint8_t> out) {
    while (!out.empty()) {
        const ssize_t got = ::pread(descriptor, out.data(), out.size(), static_cast<off_t>(offset));
        if (got < 0 && errno == EINTR) {
            continue;
        }
        if (got <= 0) {
            return false;
        }
        out = out.subspan(static_cast<std::size_t>(got));
        offset += static_cast<std::uint64_t>(got);
    }
    return true;
}

int write_at(int descriptor, std::uint64_t offset, std::span<const std::uint8_t> bytes) {
    while (!bytes.empty()) {
        const ssize_t put = ::pwrite(descriptor, bytes.data(), bytes.size(), static_cast<off_t>(offset));
        if (put < 0 && errno == EINTR) {
            continue;
        }
        if (put <= 0) {
            return put < 0 ? errno : EIO;
        }
        bytes = bytes.subspan(static_cast<std::size_t>(put));
        offset += static_cast<std::uint64_t>(put);
    }
    return 0;
}

}  // namespace heatrow::detail
