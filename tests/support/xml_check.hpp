// A small check that a text is well-formed XML: tags nest, attributes are quoted, references are known.
#pragma once

#include <string>
#include <string_view>

namespace heatrow::testing {

// What is wrong first, with its place; empty if nothing is.
std::string xml_problem(std::string_view text);

}  // namespace heatrow::testing
