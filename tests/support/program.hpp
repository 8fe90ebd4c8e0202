// Runs a program of the build as a user would and keeps what it said.
#pragma once

#include <string>
#include <vector>

namespace heatrow::testing {

struct ProgramResult {
    int exit_code = -1;  // 128 + signal number where a signal ended it
    std::string out;
    std::string err;
};

// Waits for the end. `interrupt_after_ms` >= 0 sends SIGINT after so long.
ProgramResult run_program(const std::string& program,
                          const std::vector<std::string>& arguments,
                          int interrupt_after_ms = -1);

}  // namespace heatrow::testing
