#include "heatrow/io/output_file.hpp"

#include "heatrow/core/error.hpp"
#include "heatrow/io/output_folder.hpp"

#include <fmt/format.h>
#include <unistd.h>

#include <system_error>

namespace heatrow {
namespace {

namespace fs = std::filesystem;

constexpr std::string_view kFailed = "cannot write the file";

}  // namespace

void require_free_file(const fs::path& path, bool overwrite) {
    std::error_code ignored;
    const fs::file_status status = fs::status(path, ignored);
    if (!fs::exists(status)) {
        return;
    }
    if (!fs::is_regular_file(status)) {
        throw Error(ErrorKind::output, kFailed, path.string(), "it is no ordinary file", "Give another name");
    }
    if (!overwrite) {
        throw Error(ErrorKind::output,
                    kFailed,
                    path.string(),
                    "it exists",
                    "Give another name, or --overwrite to replace it once the new one is complete");
    }
}

void publish_file(const fs::path& path, std::string_view content, bool overwrite) {
    require_free_file(path, overwrite);
    std::error_code problem;
    const fs::path target = fs::is_symlink(path, problem) ? fs::weakly_canonical(path) : path;
    const fs::path part = target.parent_path() / fmt::format("{}.part-{}", target.filename().string(), ::getpid());
    fs::remove(part, problem);  // of a killed run that had this process number
    try {
        write_file(part, content);
        make_durable(part);
    } catch (const Error&) {
        fs::remove(part, problem);
        throw;
    }
    fs::rename(part, target, problem);
    if (problem) {
        std::error_code ignored;
        fs::remove(part, ignored);
        throw Error(ErrorKind::output, kFailed, path.string(), problem.message(), "Check the folder's permissions");
    }
}

}  // namespace heatrow
