#include "output_folder.hpp"

#include "heatrow/core/error.hpp"

#include <fstream>

namespace scene {

namespace fs = std::filesystem;

OutputFolder::OutputFolder(fs::path target, bool overwrite) : target_(std::move(target)) {
    target_ = fs::absolute(target_).lexically_normal();
    if (target_.filename().empty()) {
        target_ = target_.parent_path();
    }
    if (fs::exists(target_) && !overwrite) {
        throw heatrow::Error(heatrow::ErrorKind::usage,
                             "Will not replace",
                             target_.string(),
                             "it exists",
                             "Use --overwrite to replace it.");
    }
    if (fs::exists(target_) && !fs::is_empty(target_) && !fs::exists(target_ / "survey.toml") &&
        !fs::exists(target_ / kSeasonList)) {
        throw heatrow::Error(heatrow::ErrorKind::usage,
                             "Will not replace",
                             target_.string(),
                             "it is not a rendered survey (no survey.toml in it)",
                             "Choose another folder.");
    }
    aside_ = target_;
    aside_ += ".part";
    try {
        fs::remove_all(aside_);
        fs::create_directories(aside_);
    } catch (const fs::filesystem_error& error) {
        throw heatrow::Error(heatrow::ErrorKind::output,
                             "Could not make the folder",
                             aside_.string(),
                             error.code().message(),
                             "Choose a folder that can be written.");
    }
}

OutputFolder::~OutputFolder() {
    if (!published_) {
        std::error_code ignored;
        fs::remove_all(aside_, ignored);
    }
}

void OutputFolder::publish() {
    fs::path old = target_;
    old += ".old";
    try {
        fs::remove_all(old);
        if (fs::exists(target_)) {
            fs::rename(target_, old);
        }
        fs::rename(aside_, target_);
        published_ = true;
        fs::remove_all(old);
    } catch (const fs::filesystem_error& error) {
        throw heatrow::Error(heatrow::ErrorKind::output,
                             "Could not finish the folder",
                             target_.string(),
                             error.code().message(),
                             "The last good one, if any, lies beside it as *.old.");
    }
}

void write_text(const std::filesystem::path& file, const std::string& text) {
    std::ofstream out(file, std::ios::binary);
    out << text;
    out.close();
    if (!out) {
        throw heatrow::Error(heatrow::ErrorKind::output,
                             "Could not write",
                             file.string(),
                             "the disk refused it",
                             "Check free space and permissions.");
    }
}

}  // namespace scene
