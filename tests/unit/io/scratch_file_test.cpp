#include "heatrow/io/scratch_file.hpp"

#include "heatrow/core/error.hpp"
#include "support/temp_folder.hpp"

#include <catch2/catch.hpp>

#include <cstdint>
#include <filesystem>
#include <vector>

using namespace heatrow;
using Bytes = std::vector<std::uint8_t>;

TEST_CASE("scratch file: bytes come back from where they were put, and no file is to be seen", "[io]") {
    const testing::TempFolder temp;
    const auto file = ScratchFile::open(temp.path());
    REQUIRE(file != nullptr);
    CHECK(std::filesystem::is_empty(temp.path()));
    const auto first = file->append(Bytes{1, 2, 3});
    const auto second = file->append(Bytes{4, 5});
    REQUIRE(first);
    REQUIRE(second);
    Bytes back(2);
    file->read(*second, back);
    CHECK(back == Bytes{4, 5});
    back.resize(3);
    file->read(*first, back);
    CHECK(back == Bytes{1, 2, 3});
    CHECK_THROWS_AS(file->read(*second, back), Error);  // beyond the end
}

TEST_CASE("scratch file: none in a folder that is not there", "[io]") {
    const testing::TempFolder temp;
    CHECK(ScratchFile::open(temp.path() / "missing") == nullptr);
    CHECK(ScratchFile::open({}) == nullptr);
}
