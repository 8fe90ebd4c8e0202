#include "heatrow/io/scratch_file.hpp"

#include "file_at.hpp"
#include "heatrow/core/error.hpp"

#include <fcntl.h>
#include <unistd.h>

#include <cstdlib>
#include <string>

namespace heatrow {

std::unique_ptr<ScratchFile> ScratchFile::open(const std::filesystem::path& folder) {
    if (folder.empty()) {
        return nullptr;
    }
    std::string name = (folder / "heatrow-XXXXXX").string();
    const int descriptor = ::mkostemp(name.data(), O_CLOEXEC);
    if (descriptor < 0) {
        return nullptr;
    }
    ::unlink(name.c_str());
    return std::unique_ptr<ScratchFile>(new ScratchFile(descriptor));
}

ScratchFile::~ScratchFile() {
    ::close(descriptor_);
}

std::optional<std::uint64_t> ScratchFile::append(std::span<const std::uint8_t> bytes) {
    const std::lock_guard lock(guard_);
    if (detail::write_at(descriptor_, end_, bytes) != 0) {
        return std::nullopt;
    }
    const std::uint64_t offset = end_;
    end_ += bytes.size();
    return offset;
}

void ScratchFile::read(std::uint64_t offset, std::span<std::uint8_t> out) const {
    if (!detail::read_at(descriptor_, offset, out)) {
        throw Error(ErrorKind::input,
                    "cannot read what this run put on disk",
                    std::to_string(out.size()) + " bytes at " + std::to_string(offset),
                    "the disk does not give them back",
                    "Check the disk of the cache folder, or of the folder for temporary files, and run again");
    }
}

}  // namespace heatrow
