// What a person reads when a command ends: tests look into the message.
#pragma once

#include "heatrow/core/error.hpp"

#include <functional>
#include <string>

namespace heatrow::testing {

// The message of the Error that `work` throws, "usage: " or "input: " ... in front; empty where it throws none.
inline std::string message_of(const std::function<void()>& work) {
    try {
        work();
    } catch (const Error& problem) {
        switch (problem.kind()) {
            case ErrorKind::usage:
                return std::string("usage: ") + problem.what();
            case ErrorKind::input:
                return std::string("input: ") + problem.what();
            case ErrorKind::output:
                return std::string("output: ") + problem.what();
            case ErrorKind::internal:
                return std::string("internal: ") + problem.what();
        }
    }
    return {};
}

}  // namespace heatrow::testing
