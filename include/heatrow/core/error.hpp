// What ends a command. What happens to one frame or module is a value instead: see rejection.hpp.
#pragma once

#include <stdexcept>
#include <string>
#include <string_view>

namespace heatrow {

enum class ErrorKind {
    usage,     // the command line or a settings file asks for something that cannot be; exit code 2
    input,     // data that was read cannot be used; exit code 1
    output,    // a result could not be written; exit code 1
    internal,  // a defect of the program; exit code 1
};

// Message form: "what failed: which input: why. What to try."
class Error : public std::runtime_error {
  public:
    // where: file, and line, field or id where there is one; may be empty.
    // why: the reason with the offending value. remedy: what the user can do about it.
    Error(ErrorKind kind,
          std::string_view what_failed,
          std::string_view where,
          std::string_view why,
          std::string_view remedy);

    [[nodiscard]] ErrorKind kind() const { return kind_; }

  private:
    ErrorKind kind_;
};

// The user interrupted the run; exit code 130. Not an Error: nothing failed.
class Interrupted : public std::exception {
  public:
    [[nodiscard]] const char* what() const noexcept override { return "interrupted"; }
};

}  // namespace heatrow
