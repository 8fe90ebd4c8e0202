// Runs a program of the build as a user would and keeps what it said.
#pragma once

#include <signal.h>

#include <string>
#include <vector>

namespace heatrow::testing {

struct ProgramResult {
    int exit_code = -1;  // 128 + signal number where a signal ended it
    std::string out;
    std::string err;
};

// Waits for the end. Sends the signal, SIGINT unless another one is named, once stderr holds `interrupt_at`, unless
// that is empty.
ProgramResult run_program(const std::string& program,
                          const std::vector<std::string>& arguments,
                          const std::string& interrupt_at = {},
                          int signal = SIGINT);

}  // namespace heatrow::testing
