// The `render` command as a whole.
#include "render.hpp"

#include "csv_table.hpp"
#include "flight.hpp"
#include "heatrow/core/error.hpp"
#include "heatrow/core/time.hpp"
#include "plant.hpp"
#include "scene_fixture.hpp"
#include "survey_writer.hpp"
#include "world.hpp"

#include <catch2/catch.hpp>
#include <gdal_priv.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <map>
#include <set>

namespace {

namespace fs = std::filesystem;
using namespace scene;

std::set<std::string> files_below(const fs::path& folder) {
    std::set<std::string> files;
    for (const auto& entry : fs::recursive_directory_iterator(folder)) {
        if (entry.is_regular_file()) {
            files.insert(fs::relative(entry.path(), folder).string());
        }
    }
    return files;
}

RenderSummary render(const fs::path& folder, const std::string& out, int threads, std::uint64_t seed) {
    if (!fs::exists(folder / "scene.toml")) {
        write_text(folder / "scene.toml", scene_test::small_scene_text());
    }
    return render_scene({.scene = folder / "scene.toml", .out = folder / out, .seed = seed, .threads = threads},
                        [](int, int) {})
        .front();
}

}  // namespace

TEST_CASE("render: the same bytes in every file for one thread and for two", "[scene]") {
    const scene_test::TemporaryFolder folder;
    const auto summary = render(folder.path(), "one", 1, 5);
    render(folder.path(), "two", 2, 5);
    render(folder.path(), "other", 2, 6);
    const auto files = files_below(folder.path() / "one");
    CHECK(summary.modules == 12);
    CHECK(summary.frames >= 3);
    CHECK(files.size() == static_cast<std::size_t>(summary.frames) + 13);
    CHECK(files == files_below(folder.path() / "two"));
    for (const auto& file : files) {
        INFO(file);
        CHECK(scene_test::file_bytes(folder.path() / "one" / file) ==
              scene_test::file_bytes(folder.path() / "two" / file));
    }
    // The seed is what decides.
    CHECK(scene_test::file_bytes(folder.path() / "one/frames/thermal_0001.tif") !=
          scene_test::file_bytes(folder.path() / "other/frames/thermal_0001.tif"));
}

TEST_CASE("render: frames are 16-bit, deflated with predictor 2", "[scene]") {
    const scene_test::TemporaryFolder folder;
    render(folder.path(), "out", 2, 5);
    auto* dataset = static_cast<GDALDataset*>(
        GDALOpenEx((folder.path() / "out/frames/thermal_0002.tif").c_str(), GDAL_OF_RASTER, nullptr, nullptr, nullptr));
    REQUIRE(dataset != nullptr);
    CHECK(dataset->GetRasterCount() == 1);
    CHECK(dataset->GetRasterXSize() == 200);
    CHECK(dataset->GetRasterYSize() == 160);
    CHECK(dataset->GetRasterBand(1)->GetRasterDataType() == GDT_UInt16);
    CHECK(std::string(dataset->GetMetadataItem("COMPRESSION", "IMAGE_STRUCTURE")) == "DEFLATE");
    CHECK(std::string(dataset->GetMetadataItem("PREDICTOR", "IMAGE_STRUCTURE")) == "2");
    GDALClose(dataset);
}

TEST_CASE("render: the layout holds every module to a tenth of a millimetre", "[scene]") {
    const scene_test::TemporaryFolder folder;
    render(folder.path(), "out", 2, 5);
    const auto layout = nlohmann::json::parse(scene_test::file_bytes(folder.path() / "out/layout.geojson"));
    const SceneSpec spec = scene_test::read_scene_text(scene_test::small_scene_text());
    const Plant plant = build_plant(spec);
    REQUIRE(layout["features"].size() == plant.panels.size());
    // Metres a degree by series in the latitude (WGS 84), apart from PROJ; good to a millimetre within 20 m.
    const double latitude = spec.latitude_deg * 0.017453292519943295;
    const double per_latitude = 111132.92 - 559.82 * std::cos(2 * latitude) + 1.175 * std::cos(4 * latitude);
    const double per_longitude = 111412.84 * std::cos(latitude) - 93.5 * std::cos(3 * latitude);
    for (const auto& feature : layout["features"]) {
        const int panel = plant.find_panel(feature["properties"]["module"]);
        REQUIRE(panel >= 0);
        const auto corners = plant.corners_in_site(panel);
        const auto& ring = feature["geometry"]["coordinates"][0];
        REQUIRE(ring.size() == 5);
        CHECK(ring[0] == ring[4]);
        for (std::size_t i = 0; i < 4; ++i) {
            const double east = (ring[i][0].get<double>() - spec.longitude_deg) * per_longitude;
            const double north = (ring[i][1].get<double>() - spec.latitude_deg) * per_latitude;
            const auto nearest = std::ranges::min_element(corners, [&](const auto& a, const auto& b) {
                const Eigen::Vector2d at(east, north);
                return (a.template head<2>() - at).norm() < (b.template head<2>() - at).norm();
            });
            CHECK((nearest->head<2>() - Eigen::Vector2d(east, north)).norm() < 2e-3);
        }
        const Eigen::Vector3d centre = 0.25 * (corners[0] + corners[1] + corners[2] + corners[3]);
        CHECK(feature["properties"]["height"].get<double>() == Approx(centre.z()));
    }
}

TEST_CASE("render: an existing folder is refused and left alone", "[scene]") {
    const scene_test::TemporaryFolder folder;
    fs::create_directories(folder.path() / "out");
    write_text(folder.path() / "out" / "kept.txt", "mine");
    CHECK_THROWS_WITH(render(folder.path(), "out", 1, 5),
                      Catch::Contains("it exists") && Catch::Contains("--overwrite"));
    // Nor is a folder replaced that is no rendering, whatever was asked.
    CHECK_THROWS_WITH(render_scene({.scene = folder.path() / "scene.toml",
                                    .out = folder.path() / "out",
                                    .seed = {},
                                    .threads = 1,
                                    .overwrite = true},
                                   [](int, int) {}),
                      Catch::Contains("not a rendered survey"));
    CHECK(scene_test::file_bytes(folder.path() / "out" / "kept.txt") == "mine");
    CHECK_FALSE(fs::exists(folder.path() / "out.part"));
}

TEST_CASE("render: a mistake in the description names file, line and key", "[scene]") {
    const auto with = [](const std::string& from, const std::string& to) {
        std::string text = scene_test::small_scene_text();
        text.replace(text.find(from), from.size(), to);
        return text;
    };
    CHECK_THROWS_WITH(scene_test::read_scene_text(with("rows = 1", "rowz = 1")),
                      Catch::Contains("block.rowz is not a known key") && Catch::Contains("line 18"));
    CHECK_THROWS_WITH(scene_test::read_scene_text(with("height_m = 11.0", "height_m = \"high\"")),
                      Catch::Contains("flight.height_m must be a finite number"));
    CHECK_THROWS_WITH(scene_test::read_scene_text(with("cell = \"r4c3\"", "")), Catch::Contains("fault.cell"));
    const scene_test::TemporaryFolder folder;
    write_text(folder.path() / "scene.toml", with("cell = \"r4c3\"", "cell = \"r44c3\""));
    CHECK_THROWS_WITH(render(folder.path(), "out", 1, 5), Catch::Contains("cell r44c3"));
    CHECK_FALSE(fs::exists(folder.path() / "out"));
}

TEST_CASE("render: logged positions carry one constant error of the stated length", "[scene]") {
    const SceneSpec spec = scene_test::read_scene_text(scene_test::small_scene_text());
    const Plant plant = build_plant(spec);
    const auto shots = plan_shots(spec, plant, 11);
    Eigen::Vector2d mean(0.0, 0.0);
    for (const Shot& shot : shots) {
        mean +=
            (shot.logged.position_in_site - shot.pose.position_in_site).head<2>() / static_cast<double>(shots.size());
    }
    CHECK(mean.norm() == Approx(1.0).margin(0.08));
    for (const Shot& shot : shots) {
        const Eigen::Vector2d error = (shot.logged.position_in_site - shot.pose.position_in_site).head<2>();
        CHECK((error - mean).norm() < 0.2);
    }
}

TEST_CASE("render: visible-light frames stand beside the thermal ones, paired by time", "[scene]") {
    const scene_test::TemporaryFolder folder;
    write_text(folder.path() / "scene.toml",
               scene_test::small_scene_text() + "[visible]\nwidth_px = 300\nheight_px = 240\nfocal_px = 525.0\n");
    const auto summary = render(folder.path(), "out", 2, 5);
    render(folder.path(), "one", 1, 5);
    const fs::path out = folder.path() / "out";
    const auto times = CsvTable::read(out / "visible.csv", {"frame", "time"});
    const auto poses = CsvTable::read(out / "poses.csv", {"frame", "time"});
    REQUIRE(times.size() == static_cast<std::size_t>(summary.frames));
    for (std::size_t row = 0; row < times.size(); ++row) {
        const auto at = heatrow::parse_iso8601(times.text(row, "time"));
        const auto thermal = heatrow::parse_iso8601(poses.text(row, "time"));
        CHECK((at->written - thermal->written) == std::chrono::milliseconds(100));
        const std::string name = "visible/" + times.text(row, "frame");
        CHECK(scene_test::file_bytes(out / name) == scene_test::file_bytes(folder.path() / "one" / name));
    }
    // The middle of a whole module is dark blue, the ground is not.
    auto* dataset = static_cast<GDALDataset*>(
        GDALOpenEx((out / "visible" / times.text(1, "frame")).c_str(), GDAL_OF_RASTER, nullptr, nullptr, nullptr));
    REQUIRE(dataset != nullptr);
    CHECK(dataset->GetRasterCount() == 3);
    CHECK(dataset->GetRasterBand(1)->GetRasterDataType() == GDT_Byte);
    const auto pixel = [dataset](int x, int y) {
        std::array<std::uint8_t, 3> bands{};
        REQUIRE(dataset->RasterIO(GF_Read, x, y, 1, 1, bands.data(), 1, 1, GDT_Byte, 3, nullptr, 1, 1, 1, nullptr) ==
                CE_None);
        return bands;
    };
    const auto outlines = CsvTable::read(out / "truth/outlines.csv", {"frame", "visible_share"});
    bool looked = false;
    for (std::size_t row = 0; row < outlines.size() && !looked; ++row) {
        if (outlines.text(row, "frame") != poses.text(1, "frame") || outlines.number(row, "visible_share") < 0.995) {
            continue;
        }
        const auto mean = [&](const char* a, const char* b) {
            return 0.5 * (outlines.number(row, a) + outlines.number(row, b));
        };
        // The two pictures differ in scale by 1.5; the module's middle is far wider than the distortion.
        const auto bands = pixel(static_cast<int>(1.5 * mean("x1", "x3")), static_cast<int>(1.5 * mean("y1", "y3")));
        CHECK(bands[2] > bands[0]);
        CHECK(bands[0] < 190);
        looked = true;
    }
    CHECK(looked);
    GDALClose(dataset);
}

TEST_CASE("render: what the analyser reads beside frames and logs knows nothing of the hidden draws", "[scene]") {
    const scene_test::TemporaryFolder folder;
    const auto rendered = [&folder](const std::string& name, const std::string& hidden) {
        fs::create_directories(folder.path() / name);
        write_text(
            folder.path() / name / "scene.toml",
            scene_test::small_scene_text() + "[visible]\nwidth_px = 60\nheight_px = 48\nfocal_px = 105.0\n" + hidden);
        render(folder.path() / name, "out", 2, 5);
        return folder.path() / name / "out";
    };
    const std::string no_clock = "clock_s = 0.0\n";
    const std::string none =
        "[hidden]\nemissivity = 0.0\nsky_k = 0.0\nblur_share = 0.0\ntime_constant_share = 0.0\n"
        "heat_loss_share = 0.0\nlogger_gain_share = 0.0\nwind_m_s = 0.0\n"
        "camera_gain_share = 0.0\n";
    const fs::path plain = rendered("plain", none + no_clock);
    const fs::path drawn = rendered("drawn", "[hidden]\n" + no_clock);
    const fs::path clocks = rendered("clocks", none);
    const auto files = files_below(plain);
    CHECK(files == files_below(drawn));
    for (const std::string& file : files) {
        INFO(file);
        const bool frame = file.starts_with("frames/");
        const bool same = scene_test::file_bytes(plain / file) == scene_test::file_bytes(drawn / file);
        if (frame || file == "conditions.csv") {
            CHECK_FALSE(same);
        } else if (!file.starts_with("truth/")) {
            CHECK(same);
        }
    }
    // Clocks show in the logs alone, as times that run ahead or behind.
    for (const std::string file : {"poses.csv", "visible.csv", "conditions.csv"}) {
        INFO(file);
        CHECK(scene_test::file_bytes(plain / file) != scene_test::file_bytes(clocks / file));
    }
    CHECK(scene_test::file_bytes(plain / "survey.toml") == scene_test::file_bytes(clocks / "survey.toml"));
    CHECK(scene_test::file_bytes(plain / "frames/thermal_0001.tif") ==
          scene_test::file_bytes(clocks / "frames/thermal_0001.tif"));
    const auto times = [](const fs::path& out) { return CsvTable::read(out / "poses.csv", {"time", "longitude"}); };
    const auto before = times(plain);
    const auto after = times(clocks);
    for (std::size_t row = 0; row < before.size(); ++row) {
        const auto a = heatrow::parse_iso8601(before.text(row, "time"));
        const auto b = heatrow::parse_iso8601(after.text(row, "time"));
        CHECK(std::abs((b->written - a->written).count()) <= 2000);
        CHECK(before.text(row, "longitude") == after.text(row, "longitude"));
    }
    // The logger's gain shows in what it logged; the wind's draw acts at the modules, and the log keeps the other wind.
    const auto mean_of = [](const fs::path& out, const char* column) {
        const auto log = CsvTable::read(out / "conditions.csv", {column});
        double mean = 0.0;
        for (std::size_t row = 0; row < log.size(); ++row) {
            mean += log.number(row, column) / static_cast<double>(log.size());
        }
        return mean;
    };
    std::map<std::string, double> truth;
    const auto hidden = CsvTable::read(drawn / "truth/hidden.csv", {"name", "value"});
    for (std::size_t row = 0; row < hidden.size(); ++row) {
        truth[hidden.text(row, "name")] = hidden.number(row, "value");
    }
    CHECK(std::abs(truth.at("logger_gain") - 1.0) > 1e-3);
    CHECK(mean_of(drawn, "poa_global") / mean_of(plain, "poa_global") == Approx(truth.at("logger_gain")).margin(1e-3));
    CHECK(std::abs(truth.at("wind_offset_m_s")) > 0.01);
    CHECK(mean_of(drawn, "wind_speed") == Approx(mean_of(plain, "wind_speed")).margin(1e-6));
    const World world(scene_test::read_scene_text(scene_test::small_scene_text()), 5);
    SceneSpec still = scene_test::read_scene_text(scene_test::small_scene_text());
    still.hidden.wind_m_s = 0.0;
    const World without(still, 5);
    CHECK(world.weather.at(0.0).wind_m_s - without.weather.at(0.0).wind_m_s ==
          Approx(truth.at("wind_offset_m_s")).margin(1e-5));
}

TEST_CASE("render: a plan has settings, layout and logs as the rendering would, and no frames", "[scene]") {
    const scene_test::TemporaryFolder folder;
    render(folder.path(), "whole", 2, 5);
    const auto summaries = render_scene({.scene = folder.path() / "scene.toml",
                                         .out = folder.path() / "plan",
                                         .seed = 5,
                                         .threads = 2,
                                         .plan_only = true},
                                        [](int, int) {});
    CHECK(summaries.front().modules == 12);
    const auto files = files_below(folder.path() / "plan");
    CHECK(files.contains("layout.geojson"));
    CHECK(files.contains("poses.csv"));
    for (const std::string& file : files) {
        INFO(file);
        CHECK_FALSE(file.starts_with("frames/"));
        CHECK(scene_test::file_bytes(folder.path() / "plan" / file) ==
              scene_test::file_bytes(folder.path() / "whole" / file));
    }
}
