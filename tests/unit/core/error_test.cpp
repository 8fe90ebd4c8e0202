#include "heatrow/core/error.hpp"

#include <catch2/catch.hpp>

using namespace heatrow;

TEST_CASE("error: the message names what, where, why and the remedy", "[core]") {
    const Error error(ErrorKind::input,
                      "reading the layout failed",
                      "layout.geojson",
                      "module id 'A1' stands twice",
                      "Give each module its own id");
    CHECK(std::string(error.what()) ==
          "reading the layout failed: layout.geojson: module id 'A1' stands twice. Give each module its own id.");
    CHECK(error.kind() == ErrorKind::input);
}

TEST_CASE("error: missing parts leave no stray punctuation", "[core]") {
    CHECK(std::string(Error(ErrorKind::usage, "no survey given", "", "", "").what()) == "no survey given.");
    CHECK(std::string(Error(ErrorKind::output, "writing failed", "", "disk full.", "Free some space.").what()) ==
          "writing failed: disk full. Free some space.");
}
