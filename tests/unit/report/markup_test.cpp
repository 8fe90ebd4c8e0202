#include "heatrow/report/markup.hpp"

#include <catch2/catch.hpp>

using namespace heatrow;

TEST_CASE("markup: text from outside stays text", "[report]") {
    CHECK(escape_xml("<b>\"&,=cmd()'") == "&lt;b&gt;&quot;&amp;,=cmd()&#39;");
    CHECK(json_string("</script>\"\\\n") == "\"\\u003c/script\\u003e\\\"\\\\\\u000a\"");
    CHECK(json_string("a\xE2\x80\xA8z") == "\"a\\u2028z\"");
}

TEST_CASE("markup: bytes that are no text become the replacement character", "[report]") {
    CHECK(clean_utf8("ok \xC3\xA4 \xE2\x82\xAC \xF0\x9F\x98\x80") == "ok \xC3\xA4 \xE2\x82\xAC \xF0\x9F\x98\x80");
    CHECK(clean_utf8(std::string_view("a\0b", 3)) ==
          "a\xEF\xBF\xBD"
          "b");
    CHECK(clean_utf8("\xC0\xAF") == "\xEF\xBF\xBD\xEF\xBF\xBD");        // overlong
    CHECK(clean_utf8("\xED\xA0\x80").starts_with("\xEF\xBF\xBD"));      // surrogate
    CHECK(clean_utf8("\xE2\x82") == "\xEF\xBF\xBD\xEF\xBF\xBD");        // cut off
    CHECK(clean_utf8("\xF5\x80\x80\x80").starts_with("\xEF\xBF\xBD"));  // beyond Unicode
}
