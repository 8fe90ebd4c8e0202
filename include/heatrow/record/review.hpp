// What qualified people decided on findings. Entries are only ever added, so that it stays known who changed what.
#pragma once

#include "heatrow/core/finding.hpp"
#include "heatrow/core/time.hpp"

#include <optional>
#include <string>
#include <string_view>

namespace heatrow {

// What holds for one finding.
struct Decision {
    Verdict verdict = Verdict::open;
    std::optional<Pattern> pattern;  // the reviewer's, where it is another than the finding's
    std::string comment;             // why rejected, what was seen on site, ...
    friend bool operator==(const Decision&, const Decision&) = default;
};

// One decision as it was taken.
struct ReviewEntry {
    std::string finding;  // id; a later run may no longer have it
    UtcTime time{};
    std::string reviewer;
    Decision before;
    Decision after;
    std::string source;  // file that the decision came in
    friend bool operator==(const ReviewEntry&, const ReviewEntry&) = default;
};

std::optional<Verdict> parse_verdict(std::string_view name);

}  // namespace heatrow
