#include "progress_line.hpp"

#include <fmt/format.h>
#include <unistd.h>

#include <cmath>

namespace heatrow::cli {

std::string format_duration(double seconds) {
    const auto whole = static_cast<long>(std::lround(seconds));
    if (whole < 60) {
        return fmt::format("{} s", whole);
    }
    if (whole < 3600) {
        return fmt::format("{} min {:02} s", whole / 60, whole % 60);
    }
    return fmt::format("{} h {:02} min", whole / 3600, whole / 60 % 60);
}

ProgressLine::ProgressLine(bool quiet) : quiet_(quiet), terminal_(isatty(STDERR_FILENO) != 0) {}

ProgressLine::~ProgressLine() {
    if (line_open_) {
        fmt::print(stderr, "\n");
    }
}

void ProgressLine::update(std::string_view stage, std::size_t done, std::size_t total) {
    if (quiet_ || total == 0) {
        return;
    }
    const auto now = Clock::now();
    if (stage != stage_) {
        stage_ = stage;
        stage_start_ = now;
        last_draw_ = {};
    }
    const bool last = done >= total;
    if (!last && (!terminal_ || now - last_draw_ < std::chrono::milliseconds(100))) {
        return;
    }
    last_draw_ = now;
    draw(done, total, last);
}

void ProgressLine::draw(std::size_t done, std::size_t total, bool last) {
    const double elapsed = std::chrono::duration<double>(Clock::now() - stage_start_).count();
    const double rate = elapsed > 0.0 ? static_cast<double>(done) / elapsed : 0.0;
    std::string text = fmt::format("{}: {} of {}", stage_, done, total);
    if (done > 0 && elapsed > 0.05) {
        text += fmt::format(", {:.3g} a second", rate);
        text += last ? fmt::format(", took {}", format_duration(elapsed))
                     : fmt::format(", {} left", format_duration(static_cast<double>(total - done) / rate));
    }
    if (terminal_) {
        fmt::print(stderr, "\r\033[K{}{}", text, last ? "\n" : "");
        std::fflush(stderr);
        line_open_ = !last;
    } else {
        fmt::print(stderr, "{}\n", text);
    }
}

}  // namespace heatrow::cli
