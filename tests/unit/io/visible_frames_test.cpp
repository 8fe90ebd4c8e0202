// Partner frames in visible light: their times, their pixels.
#include "heatrow/io/visible_frames.hpp"

#include "heatrow/io/colour_picture.hpp"
#include "support/check_error.hpp"
#include "support/temp_folder.hpp"

#include <catch2/catch.hpp>

#include <cstdlib>

using namespace heatrow;
using Catch::Contains;
using heatrow::testing::message_of;

namespace {

VisibleFrameSettings settings_in(const testing::TempFolder& temp) {
    VisibleFrameSettings settings;
    settings.camera = "visible";
    settings.folder = temp.path() / "visible";
    settings.times = temp.path() / "visible.csv";
    return settings;
}

}  // namespace

TEST_CASE("visible frames: pictures get their times by the camera's clock, in the order of the times", "[io]") {
    const testing::TempFolder temp;
    temp.write("visible/a.jpg", "x");
    temp.write("visible/b.jpg", "x");
    temp.write("visible/c.jpg", "x");
    temp.write("visible.csv",
               "frame,time\na.jpg,2026-06-17T13:02:09\nb.jpg,2026-06-17T13:02:03.5\nd.jpg,2026-06-17T13:02:04\n");
    Clock clock;
    clock.scale = Clock::FixedOffset{std::chrono::minutes(120)};
    const VisibleFrames visible = list_visible_frames(settings_in(temp), clock);
    REQUIRE(visible.frames.size() == 2);
    CHECK(visible.frames[0].file.name == "b.jpg");
    CHECK(to_iso8601(visible.frames[0].time) == "2026-06-17T11:02:03.500Z");
    CHECK(visible.frames[1].file.name == "a.jpg");
    REQUIRE(visible.notes.size() == 2);
    CHECK(visible.notes[0] == "Visible frames without a row in visible.csv take no part: c.jpg.");
    CHECK(visible.notes[1] == "visible.csv names visible frames that are not there: d.jpg.");
}

TEST_CASE("visible frames: tables that say too little are refused by line and field", "[io]") {
    const testing::TempFolder temp;
    temp.write("visible/a.jpg", "x");
    const auto complaint = [&](const char* table) {
        temp.write("visible.csv", table);
        return message_of([&] { list_visible_frames(settings_in(temp), {}); });
    };
    CHECK_THAT(complaint("frame,when\na.jpg,2026-06-17T13:02:09\n"), Contains("time"));
    CHECK_THAT(complaint("frame,time\na.jpg,13:02\n"), Contains("line 2, field time") && Contains("'13:02'"));
    CHECK_THAT(complaint("frame,time\na.jpg,2026-06-17T13:02:09\na.jpg,2026-06-17T13:02:09\n"),
               Contains("line 3, field frame") && Contains("already in line 2"));
}

TEST_CASE("colour pictures: a JPEG that was made reads back, nearly; the same pixels give the same bytes", "[io]") {
    Image<Colour> pixels(48, 32);
    for (int y = 0; y < pixels.height(); ++y) {
        for (int x = 0; x < pixels.width(); ++x) {
            pixels.view()(x, y) = x < 24 ? Colour{200, 60, 30} : Colour{20, 40, 90};
        }
    }
    const std::string bytes = encode_jpeg(pixels);
    CHECK(bytes == encode_jpeg(pixels));
    const testing::TempFolder temp;
    const auto read = read_colour_picture(temp.write("picture.jpg", bytes));
    REQUIRE(read);
    REQUIRE(read->width() == 48);
    REQUIRE(read->height() == 32);
    constexpr int kLoss = 8;  // of a compressed area without detail
    for (const int x : {4, 44}) {
        const Colour was = std::as_const(pixels).view()(x, 16);
        const Colour now = read->view()(x, 16);
        CHECK(std::abs(was.red - now.red) < kLoss);
        CHECK(std::abs(was.green - now.green) < kLoss);
        CHECK(std::abs(was.blue - now.blue) < kLoss);
    }
    const auto damaged = read_colour_picture(temp.write("damaged.jpg", bytes.substr(0, 40)));
    REQUIRE_FALSE(damaged);
    CHECK(damaged.error().reason == RejectReason::unreadable);
}
