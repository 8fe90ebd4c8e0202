#include "heatrow/core/error.hpp"

namespace heatrow {
namespace {

std::string compose(std::string_view what_failed,
                    std::string_view where,
                    std::string_view why,
                    std::string_view remedy) {
    std::string message(what_failed);
    if (!where.empty()) {
        message.append(": ").append(where);
    }
    if (!why.empty()) {
        message.append(": ").append(why);
    }
    if (!message.empty() && message.back() != '.') {
        message.push_back('.');
    }
    if (!remedy.empty()) {
        message.append(" ").append(remedy);
        if (message.back() != '.' && message.back() != '?') {
            message.push_back('.');
        }
    }
    return message;
}

}  // namespace

Error::Error(
    ErrorKind kind, std::string_view what_failed, std::string_view where, std::string_view why, std::string_view remedy)
    : std::runtime_error(compose(what_failed, where, why, remedy)), kind_(kind) {}

}  // namespace heatrow
