#include "heatrow/core/cell.hpp"

#include <catch2/catch.hpp>

using namespace heatrow;

TEST_CASE("cell: a written name reads back", "[core]") {
    for (const CellIndex cell : {CellIndex{0, 0}, CellIndex{9, 5}, CellIndex{23, 11}}) {
        CHECK(parse_cell(to_string(cell)) == cell);
    }
    CHECK(to_string(CellIndex{2, 3}) == "r3c4");
}

TEST_CASE("cell: what is no cell name is refused", "[core]") {
    for (const char* text :
         {"", "r", "r1", "r1c", "r0c1", "r1c0", "c1r1", "r1c1x", "R1C1", "r-1c2", "r 1c2", "r1c99999999999"}) {
        CAPTURE(text);
        CHECK_FALSE(parse_cell(text).has_value());
    }
}
