// One line on stderr that says how far a run has come, with rate and time left.
#pragma once

#include <chrono>
#include <cstddef>
#include <string>
#include <string_view>

namespace heatrow::cli {

// On a terminal the line is redrawn in place, at most ten times a second. Elsewhere each stage gets one line when it
// ends, so that logs stay short. Silent when `quiet`.
class ProgressLine {
  public:
    explicit ProgressLine(bool quiet);
    ProgressLine(const ProgressLine&) = delete;
    ProgressLine& operator=(const ProgressLine&) = delete;
    ~ProgressLine();

    void update(std::string_view stage, std::size_t done, std::size_t total);

  private:
    using Clock = std::chrono::steady_clock;
    void draw(std::size_t done, std::size_t total, bool last);

    bool quiet_;
    bool terminal_;
    bool line_open_ = false;
    std::string stage_;
    Clock::time_point stage_start_{};
    Clock::time_point last_draw_{};
};

// "8 s", "2 min 05 s", "1 h 02 min".
std::string format_duration(double seconds);

}  // namespace heatrow::cli
