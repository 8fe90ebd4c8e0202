#include "heatrow/io/record_file.hpp"

#include "support/temp_folder.hpp"
#include "support/text_file.hpp"

#include <catch2/catch.hpp>

#include <filesystem>
#include <string>
#include <vector>

namespace fs = std::filesystem;
using heatrow::RecordFile;
using heatrow::RecordKey;
using heatrow::testing::TempFolder;

namespace {

const RecordKey kPurpose(64, 'a');

RecordKey key_of(int number) {
    std::string key = std::to_string(number);
    return std::string(64 - key.size(), '0') + key;
}

std::vector<std::uint8_t> bytes_of(int number) {
    return std::vector<std::uint8_t>(static_cast<std::size_t>(7 * number + 3), static_cast<std::uint8_t>(number));
}

constexpr int kRecords = 4;

void write_records(const fs::path& path) {
    const auto file = RecordFile::open(path, kPurpose);
    REQUIRE(file != nullptr);
    for (int i = 0; i < kRecords; ++i) {
        REQUIRE(file->append(key_of(i), bytes_of(i)).empty());
    }
}

int records_found(const RecordFile& file) {
    int found = 0;
    for (int i = 0; i < kRecords; ++i) {
        if (const auto bytes = file.find(key_of(i))) {
            CHECK(*bytes == bytes_of(i));
            ++found;
        }
    }
    return found;
}

}  // namespace

TEST_CASE("record file: what was kept is found by the next run, the latest of a key") {
    const TempFolder folder;
    const fs::path path = folder.path() / "made" / "survey.slots";
    write_records(path);
    {
        const auto file = RecordFile::open(path, kPurpose);
        REQUIRE(file != nullptr);
        CHECK(file->size() == kRecords);
        CHECK(records_found(*file) == kRecords);
        CHECK_FALSE(file->find(key_of(99)));
        CHECK(file->append(key_of(0), bytes_of(9)).empty());
    }
    const auto file = RecordFile::open(path, kPurpose);
    CHECK(file->find(key_of(0)) == bytes_of(9));
    CHECK(file->find(key_of(1)) == bytes_of(1));
}

TEST_CASE("record file: cut at any byte, as by a kill, it gives its whole records and takes new ones") {
    const TempFolder folder;
    const fs::path whole = folder.path() / "whole.slots";
    write_records(whole);
    const auto size = fs::file_size(whole);
    const fs::path cut = folder.path() / "cut.slots";
    int most_found = 0;
    for (std::uintmax_t kept = 0; kept <= size; ++kept) {
        CAPTURE(kept);
        fs::copy_file(whole, cut, fs::copy_options::overwrite_existing);
        fs::resize_file(cut, kept);
        {
            const auto file = RecordFile::open(cut, kPurpose);
            REQUIRE(file != nullptr);
            const int found = records_found(*file);
            CHECK(found >= most_found);
            most_found = found;
            REQUIRE(file->append(key_of(7), bytes_of(7)).empty());
        }
        const auto again = RecordFile::open(cut, kPurpose);
        CHECK(records_found(*again) == most_found);
        CHECK(again->find(key_of(7)) == bytes_of(7));
    }
    CHECK(most_found == kRecords);
}

TEST_CASE("record file: a flipped bit never comes back as a record") {
    const TempFolder folder;
    const fs::path whole = folder.path() / "whole.slots";
    write_records(whole);
    const std::string bytes = heatrow::testing::text_of(whole);
    for (std::size_t place = 0; place < bytes.size(); ++place) {
        for (const unsigned bit : {0U, 5U}) {
            CAPTURE(place, bit);
            std::string damaged = bytes;
            damaged[place] = static_cast<char>(static_cast<unsigned char>(damaged[place]) ^ (1U << bit));
            const auto file = RecordFile::open(folder.write("damaged.slots", damaged), kPurpose);
            REQUIRE(file != nullptr);
            CHECK(records_found(*file) < kRecords);  // checks those found byte by byte
        }
    }
}

TEST_CASE("record file: of another purpose, or of another kind, it begins anew") {
    const TempFolder folder;
    const fs::path path = folder.path() / "survey.slots";
    write_records(path);
    CHECK(RecordFile::open(path, RecordKey(64, 'b'))->size() == 0);
    CHECK(RecordFile::open(path, kPurpose)->size() == 0);
    CHECK(RecordFile::open(folder.write("other.slots", std::string(500, 'x')), kPurpose)->size() == 0);
}

TEST_CASE("record file: one run at a time") {
    const TempFolder folder;
    const fs::path path = folder.path() / "survey.slots";
    const auto first = RecordFile::open(path, kPurpose);
    REQUIRE(first->append(key_of(1), bytes_of(1)).empty());
    CHECK(RecordFile::open(path, RecordKey(64, 'b')) == nullptr);
    CHECK(first->find(key_of(1)) == bytes_of(1));
}

TEST_CASE("record file: a folder that cannot be made ends the run") {
    const TempFolder folder;
    const fs::path file = folder.write("a-file", "x");
    CHECK_THROWS_WITH(RecordFile::open(file / "survey.slots", kPurpose), Catch::Contains("--no-cache"));
}
