#include "heatrow/core/nearest_word.hpp"

#include <catch2/catch.hpp>

#include <vector>

using namespace heatrow;

TEST_CASE("nearest word: slips are recognised, strangers are not", "[core]") {
    const std::vector<std::string> known{"analyse", "inspect", "measure"};
    CHECK(nearest_word("analyze", known) == "analyse");
    CHECK(nearest_word("inpsect", known) == "inspect");
    CHECK(nearest_word("measur", known) == "measure");
    CHECK_FALSE(nearest_word("report", known).has_value());
    CHECK_FALSE(nearest_word("x", known).has_value());
    CHECK_FALSE(nearest_word("", known).has_value());
    CHECK_FALSE(nearest_word("analyse", {}).has_value());
}
