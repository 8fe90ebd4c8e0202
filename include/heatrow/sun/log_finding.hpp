// What the reader of a log's result must know: something left out, something doubtful.
#pragma once

#include <string>

namespace heatrow {

struct LogFinding {
    std::string kind;  // stable name (docs/formats/conditions.md), e.g. "ambiguous_time"
    int count = 0;     // rows, values or places concerned
    std::string text;  // a sentence with lines and values
};

}  // namespace heatrow
