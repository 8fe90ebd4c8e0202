#include "heatrow/record/review.hpp"

namespace heatrow {

std::optional<Verdict> parse_verdict(std::string_view name) {
    for (const Verdict verdict : {Verdict::open, Verdict::confirmed, Verdict::rejected}) {
        if (to_string(verdict) == name) {
            return verdict;
        }
    }
    return std::nullopt;
}

}  // namespace heatrow
