#include "heatrow/io/text_table.hpp"

#include "support/check_error.hpp"

#include <catch2/catch.hpp>

using namespace heatrow;
using Catch::Contains;
using heatrow::testing::message_of;

namespace {

std::string as_utf16(const std::string& ascii, bool little_endian, bool mark) {
    std::string bytes = mark ? (little_endian ? "\xFF\xFE" : "\xFE\xFF") : "";
    for (const char c : ascii) {
        bytes += little_endian ? std::string{c, '\0'} : std::string{'\0', c};
    }
    return bytes;
}

TextTable parse(const std::string& bytes) {
    return parse_text_table(bytes, "t.csv");
}

}  // namespace

TEST_CASE("text table: delimiters are told apart", "[io]") {
    CHECK(parse("a,b\n1,2\n").dialect.delimiter == ',');
    CHECK(parse("a;b\n1,5;2,5\n").dialect.delimiter == ';');
    CHECK(parse("a\tb\n1,5\t2,5\n").dialect.delimiter == '\t');
    CHECK(parse("a,b\n\"x;y\",2\n").dialect.delimiter == ',');
    CHECK(parse("one\n1\n2\n").rows.size() == 2);
}

TEST_CASE("text table: decimal commas are known by the numbers", "[io]") {
    const TextTable commas = parse("a;b\n801,5;2\n");
    CHECK(commas.dialect.decimal_comma);
    CHECK(*commas.number("801,5") == 801.5);
    CHECK(*commas.number("-3") == -3.0);
    CHECK_FALSE(commas.number("1.5"));
    const TextTable points = parse("a;b\n801.5;2\n");
    CHECK_FALSE(points.dialect.decimal_comma);
    CHECK_FALSE(points.number("801,5"));
    CHECK_FALSE(points.number("inf"));
    CHECK_FALSE(points.number("+-1"));
    CHECK(*points.number("+1e3") == 1000.0);
    CHECK_THAT(message_of([] { parse("a;b\n801,5;2.5\n"); }),
               Contains("t.csv, line 2") && Contains("801,5") && Contains("2.5") && Contains("one decimal mark"));
}

TEST_CASE("text table: a sep= line names the delimiter and is no header", "[io]") {
    const TextTable table = parse("sep=;\r\na;b\r\n1;2\r\n");
    CHECK(table.dialect.sep_line);
    CHECK(table.header.cells == std::vector<std::string>{"a", "b"});
    CHECK(table.header.line == 2);
    CHECK(table.rows.at(0).line == 3);
    CHECK_THAT(message_of([] { parse("sep=|\na|b\n"); }), Contains("sep=|"));
}

TEST_CASE("text table: encodings become UTF-8", "[io]") {
    const std::string text = "a;b\r\n1;2\r\n";
    for (const bool little : {true, false}) {
        for (const bool mark : {true, false}) {
            const TextTable table = parse(as_utf16(text, little, mark));
            CHECK(table.dialect.encoding == (little ? "UTF-16LE" : "UTF-16BE"));
            CHECK(table.dialect.byte_order_mark == mark);
            CHECK(table.rows.at(0).cells == std::vector<std::string>{"1", "2"});
        }
    }
    CHECK(parse(std::string("\xEF\xBB\xBF") + "a,b\n1,2\n").header.cells.at(0) == "a");
    const TextTable western = parse(std::string("T [\xB0") + "C],b\n1,2\n");
    CHECK(western.dialect.encoding == "Windows-1252");
    CHECK(western.header.cells.at(0) == "T [\u00B0C]");
    CHECK(parse("T [\u00B0C],b\n1,2\n").dialect.encoding == "UTF-8");
}

TEST_CASE("text table: quotes keep delimiters, line breaks and quotes", "[io]") {
    const TextTable table = parse("a,b\n\"x,1\",\"two\nlines \"\"q\"\"\"\n3,4\n");
    CHECK(table.rows.at(0).cells == std::vector<std::string>{"x,1", "two\nlines \"q\""});
    CHECK(table.rows.at(1).line == 4);
    CHECK_THAT(message_of([] { parse("a,b\n1,\"open\n"); }), Contains("t.csv, line 2") && Contains("never closed"));
}

TEST_CASE("text table: blank lines and line ends of three kinds", "[io]") {
    for (const char* text : {"\na,b\n\n1,2\n\n", "\r\na,b\r\n\r\n1,2\r\n", "\ra,b\r\r1,2\r"}) {
        const TextTable table = parse(text);
        CHECK(table.header.cells.size() == 2);
        REQUIRE(table.rows.size() == 1);
        CHECK(table.rows.front().line == 4);
    }
}

TEST_CASE("text table: what is no text is refused", "[io]") {
    CHECK_THAT(message_of([] { parse(""); }), Contains("empty"));
    CHECK_THAT(message_of([] { parse(std::string("a,b\n1,\0\n", 8)); }), Contains("NUL"));
    CHECK_THAT(message_of([] { parse(std::string("\xFF\xFE") + "a"); }), Contains("odd number"));
    CHECK_THAT(message_of([] { parse(std::string("\xFF\xFE\x00\xD8", 4)); }), Contains("half a character"));
    CHECK_THAT(message_of([] { read_text_table("/nonexistent.csv"); }), Contains("/nonexistent.csv"));
}
