#include "heatrow/io/output_folder.hpp"

#include "heatrow/core/error.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstdio>
#include <cstring>
#include <system_error>
#include <vector>

namespace heatrow {
namespace {

namespace fs = std::filesystem;

constexpr std::string_view kFailed = "cannot write results";

[[noreturn]] void fail(const fs::path& path, std::string_view why, std::string_view remedy) {
    throw Error(ErrorKind::output, kFailed, path.string(), why, remedy);
}

[[noreturn]] void fail_with_errno(const fs::path& path, int code) {
    const std::string why = std::generic_category().message(code);
    fail(path, why, code == ENOSPC ? "Free some space on that disk" : "Check the path, its permissions and its disk");
}

// A file descriptor that is closed on every way out; `close` reports what the last flush says.
class Descriptor {
  public:
    Descriptor(const fs::path& path, int flags) : path_(path), fd_(::open(path.c_str(), flags | O_CLOEXEC, 0644)) {
        if (fd_ < 0) {
            fail_with_errno(path_, errno);
        }
    }
    ~Descriptor() {
        if (fd_ >= 0) {
            ::close(fd_);
        }
    }
    Descriptor(const Descriptor&) = delete;
    Descriptor& operator=(const Descriptor&) = delete;

    void write(std::string_view content) const {
        while (!content.empty()) {
            const ssize_t written = ::write(fd_, content.data(), content.size());
            if (written < 0 && errno != EINTR) {
                fail_with_errno(path_, errno);
            }
            content.remove_prefix(written < 0 ? 0 : static_cast<std::size_t>(written));
        }
    }
    // Has the disk begin with it, which saves `sync` its time.
    void begin_sync() const { static_cast<void>(::sync_file_range(fd_, 0, 0, SYNC_FILE_RANGE_WRITE)); }
    void sync() const {
        if (::fsync(fd_) != 0) {
            fail_with_errno(path_, errno);
        }
    }
    void close() {
        const int result = ::close(fd_);
        fd_ = -1;
        if (result != 0) {
            fail_with_errno(path_, errno);
        }
    }

  private:
    fs::path path_;
    int fd_;
};

void make_tree_durable(const fs::path& folder, const ForEach& for_each) {
    std::vector<fs::path> files;
    std::vector<fs::path> folders{folder};
    for (const fs::directory_entry& entry : fs::recursive_directory_iterator(folder)) {
        (entry.is_directory() ? folders : files).push_back(entry.path());
    }
    for_each(files.size(), [&](std::size_t i) { make_durable(files[i]); });
    for_each(folders.size(), [&](std::size_t i) { make_durable(folders[i]); });
}

// Without a trailing slash, a link followed to what it names: the rename must not replace the link.
fs::path settled(const fs::path& path) {
    fs::path absolute = fs::absolute(path).lexically_normal();
    if (!absolute.has_filename()) {
        absolute = absolute.parent_path();
    }
    std::error_code ignored;
    return fs::is_symlink(absolute, ignored) ? fs::weakly_canonical(absolute) : absolute;
}

bool is_result_or_empty(const fs::path& folder) {
    return fs::is_directory(folder) && (fs::is_empty(folder) || fs::is_regular_file(folder / "manifest.json"));
}

fs::path beside(const fs::path& path, std::string_view kind) {
    return path.parent_path() / fmt::format("{}.{}-{}", path.filename().string(), kind, ::getpid());
}

// Puts `fresh` in the place of `old`, keeping the old one under the other name; false where the system cannot.
bool exchange(const fs::path& fresh, const fs::path& old) {
    return ::renameat2(AT_FDCWD, fresh.c_str(), AT_FDCWD, old.c_str(), RENAME_EXCHANGE) == 0;
}

void replace_in_two_steps(const fs::path& fresh, const fs::path& old) {
    const fs::path aside = beside(old, "old");
    if (::rename(old.c_str(), aside.c_str()) != 0) {
        fail_with_errno(old, errno);
    }
    if (::rename(fresh.c_str(), old.c_str()) != 0) {
        const int code = errno;
        if (::rename(aside.c_str(), old.c_str()) != 0) {
            fail(
                old, fmt::format("the earlier result could not be put back; it is in {}", aside.string()), "Rename it");
        }
        fail_with_errno(old, code);
    }
    std::error_code ignored;
    fs::remove_all(aside, ignored);
}

}  // namespace

void require_free_output(const fs::path& final_path, bool overwrite) {
    const fs::path path = settled(final_path);
    std::error_code ignored;
    if (!fs::exists(fs::symlink_status(path, ignored))) {
        return;
    }
    if (!overwrite) {
        fail(path, "it exists", "Give another folder, or --overwrite to replace it once the new result is complete");
    }
    if (!is_result_or_empty(path)) {
        fail(path, "it is not a result folder (it has no manifest.json), so it is not replaced", "Give another folder");
    }
}

OutputFolder::OutputFolder(const fs::path& final_path, bool overwrite)
    : final_(settled(final_path)), part_(beside(final_, "part")), overwrite_(overwrite) {
    require_free_output(final_, overwrite);
    std::error_code code;
    fs::create_directories(final_.parent_path(), code);
    if (code) {
        fail_with_errno(final_.parent_path(), code.value());
    }
    fs::remove_all(part_, code);  // of a killed run that had this process number
    if (::mkdir(part_.c_str(), 0755) != 0) {
        fail_with_errno(part_, errno);
    }
}

OutputFolder::~OutputFolder() {
    if (!published_) {
        std::error_code ignored;
        fs::remove_all(part_, ignored);
    }
}

void OutputFolder::publish(const ForEach& for_each) {
    make_tree_durable(part_, for_each);
    std::error_code ignored;
    if (!fs::exists(fs::symlink_status(final_, ignored))) {
        if (::rename(part_.c_str(), final_.c_str()) != 0) {
            fail_with_errno(final_, errno);
        }
    } else if (!overwrite_) {
        fail(final_, "it appeared while this run was working", "Give another folder");
    } else if (exchange(part_, final_)) {
        fs::remove_all(part_, ignored);
    } else if (errno == ENOSYS || errno == EINVAL || errno == ENOTSUP) {
        replace_in_two_steps(part_, final_);
    } else {
        fail_with_errno(final_, errno);
    }
    published_ = true;
    make_durable(final_.parent_path());
}

void write_file(const fs::path& path, std::string_view content) {
    Descriptor descriptor(path, O_WRONLY | O_CREAT | O_EXCL);
    descriptor.write(content);
    descriptor.begin_sync();
    descriptor.close();
}

void make_durable(const fs::path& path) {
    Descriptor descriptor(path, O_RDONLY);
    descriptor.sync();
    descriptor.close();
}

}  // namespace heatrow
