#include "support/program.hpp"

#include <poll.h>
#include <signal.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <stdexcept>

extern char** environ;

namespace heatrow::testing {
namespace {

class Pipe {
  public:
    Pipe() {
        if (pipe(ends_.data()) != 0) {
            throw std::runtime_error("pipe failed");
        }
    }
    Pipe(const Pipe&) = delete;
    Pipe& operator=(const Pipe&) = delete;
    ~Pipe() {
        close_writer();
        close(ends_[0]);
    }
    [[nodiscard]] int reader() const { return ends_[0]; }
    [[nodiscard]] int writer() const { return ends_[1]; }
    void close_writer() {
        if (ends_[1] >= 0) {
            close(ends_[1]);
            ends_[1] = -1;
        }
    }

  private:
    std::array<int, 2> ends_{-1, -1};
};

// Reads both pipes to their ends, sending the signal when its word has come.
void collect(
    pid_t child, const Pipe& out, const Pipe& err, const std::string& interrupt_at, int signal, ProgramResult& result) {
    bool pending = !interrupt_at.empty();
    std::array<pollfd, 2> watched{pollfd{out.reader(), POLLIN, 0}, pollfd{err.reader(), POLLIN, 0}};
    std::array<std::string*, 2> sinks{&result.out, &result.err};
    int open = 2;
    while (open > 0) {
        poll(watched.data(), watched.size(), -1);
        for (std::size_t i = 0; i < watched.size(); ++i) {
            if (watched[i].fd < 0 || watched[i].revents == 0) {
                continue;
            }
            std::array<char, 4096> buffer{};
            const ssize_t count = read(watched[i].fd, buffer.data(), buffer.size());
            if (count > 0) {
                sinks[i]->append(buffer.data(), static_cast<std::size_t>(count));
                if (pending && result.err.find(interrupt_at) != std::string::npos) {
                    kill(child, signal);
                    pending = false;
                }
            } else {
                watched[i].fd = -1;
                --open;
            }
        }
    }
}

}  // namespace

ProgramResult run_program(const std::string& program,
                          const std::vector<std::string>& arguments,
                          const std::string& interrupt_at,
                          int signal) {
    Pipe out;
    Pipe err;
    posix_spawn_file_actions_t actions;
    posix_spawn_file_actions_init(&actions);
    posix_spawn_file_actions_adddup2(&actions, out.writer(), STDOUT_FILENO);
    posix_spawn_file_actions_adddup2(&actions, err.writer(), STDERR_FILENO);
    posix_spawn_file_actions_addclose(&actions, out.reader());
    posix_spawn_file_actions_addclose(&actions, err.reader());
    posix_spawn_file_actions_addopen(&actions, STDIN_FILENO, "/dev/null", 0, 0);

    std::vector<std::string> words{program};
    words.insert(words.end(), arguments.begin(), arguments.end());
    std::vector<char*> argv;
    for (std::string& word : words) {
        argv.push_back(word.data());
    }
    argv.push_back(nullptr);
    pid_t child = 0;
    const int error = posix_spawn(&child, program.c_str(), &actions, nullptr, argv.data(), environ);
    posix_spawn_file_actions_destroy(&actions);
    if (error != 0) {
        throw std::runtime_error("cannot start " + program);
    }
    out.close_writer();
    err.close_writer();

    ProgramResult result;
    collect(child, out, err, interrupt_at, signal, result);
    int status = 0;
    waitpid(child, &status, 0);
    result.exit_code = WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
    return result;
}

}  // namespace heatrow::testing
