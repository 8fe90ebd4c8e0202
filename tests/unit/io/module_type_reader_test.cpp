#include "heatrow/io/module_type_reader.hpp"

#include "heatrow/io/data_folder.hpp"
#include "heatrow/io/profile_reader.hpp"
#include "support/check_error.hpp"
#include "support/temp_folder.hpp"

#include <catch2/catch.hpp>

using namespace heatrow;
using Catch::Contains;
using heatrow::testing::message_of;

namespace {

const std::string kHead = R"(id = "six"
width_m = 0.6
height_m = 0.5
rows = 2
columns = 3
cell_area_m = { left = 0.02, top = 0.03, width = 0.56, height = 0.44 }
middle_gap_m = 0.04
rated_power_w = 30.0
rated_voltage_v = 3.4
rated_current_a = 8.8
short_circuit_current_a = 9.3
positive_lead = "right"
)";
const std::string kStrings = "[[substring]]\ncells = [\"r1c1:r2c2\"]\n[[substring]]\ncells = [\"r1c3\", \"r2c3\"]\n";

ModuleType parse(const std::string& text) {
    return parse_module_type(text, "six.toml");
}

}  // namespace

TEST_CASE("module type: cells, substrings and the middle gap are taken as documented") {
    const ModuleType type = parse(kHead + kStrings + "[[junction_box]]\nposition_m = [0.3, 0.05]\n");
    CHECK(type.substring_of_cell == std::vector{1, 1, 2, 1, 1, 2});
    CHECK(type.cell_area_height.value() == Approx(0.40));
    CHECK(type.middle_gap.value() == 0.04);
    CHECK_FALSE(type.positive_lead_left);
    CHECK(type.front == ModuleType::Front::glass);
    REQUIRE(type.junction_boxes.size() == 1);
    CHECK(type.junction_boxes[0].y() == 0.05);
}

TEST_CASE("module type: each cell must be in exactly one substring, else it is named") {
    CHECK_THAT(message_of([] { parse(kHead + "[[substring]]\ncells = [\"r1c1:r2c2\", \"r1c3\"]\n"); }),
               Contains("r2c3") && Contains("in no substring"));
    CHECK_THAT(message_of([] { parse(kHead + kStrings + "[[substring]]\ncells = [\"r2c2\"]\n"); }),
               Contains("cell r2c2 is in substrings 1 and 3") && Contains("line 18"));
    CHECK_THAT(message_of([] { parse(kHead + "[[substring]]\ncells = [\"r1c1:r3c3\"]\n"); }), Contains("beyond"));
    CHECK_THAT(message_of([] { parse(kHead + "[[substring]]\ncells = [\"r2c2:r1c1\"]\n"); }), Contains("no block"));
}

TEST_CASE("module type: cells must lie inside the outline") {
    std::string text = kHead + kStrings;
    text.replace(text.find("left = 0.02"), 11, "left = 0.09");
    CHECK_THAT(message_of([&] { parse(text); }), Contains("cell_area_m.width") && Contains("0.65"));
}

TEST_CASE("module types: the earlier folder wins, an unknown id names the known ones") {
    const testing::TempFolder folder;
    folder.write("own/six.toml", kHead + kStrings);
    folder.write("installed/six.toml", "broken");
    const ModuleTypeCatalogue catalogue({folder.path() / "own", folder.path() / "installed"});
    CHECK(catalogue.read("six").columns == 3);
    CHECK(catalogue.ids() == std::vector<std::string>{"six"});
    CHECK_THAT(message_of([&] { (void)catalogue.read("sux"); }), Contains("Did you mean \"six\"?"));
    CHECK_THAT(message_of([&] { (void)catalogue.read("../own/six"); }), Contains("no such type file"));
}

TEST_CASE("installed data: every module type and profile can be read") {
    const ModuleTypeCatalogue catalogue = find_module_types(std::nullopt);
    REQUIRE(catalogue.ids().size() >= 2);
    for (const std::string& id : catalogue.ids()) {
        INFO(id);
        CHECK(catalogue.read(id).cell_count() > 0);
    }
    const Profile profile = read_profile(find_profile("field-practice", {}));
    CHECK(profile.id == "field-practice");
    CHECK(profile.minimum_irradiance_w_m2.value == 600.0);
    CHECK_FALSE(profile.minimum_irradiance_w_m2.source.empty());
    CHECK(profile.rule(Pattern::hot_cell).has_value());
}

TEST_CASE("profile: unknown patterns, missing values and values without a source are refused") {
    const testing::TempFolder folder;
    CHECK_THAT(message_of([] { (void)find_profile("nowhere", {}); }), Contains("usage: ") && Contains("nowhere.toml"));
    CHECK_THAT(message_of([] { parse_profile("id = \"a\"\nversion = \"1\"\ntitle = \"t\"\n[limits]\n", "a.toml"); }),
               Contains("a.toml, line 4, limits.minimum_irradiance_w_m2") && Contains("missing"));
    CHECK_THAT(
        message_of([] {
            parse_profile(
                "id = \"a\"\nversion = \"1\"\ntitle = \"t\"\n[limits]\nminimum_irradiance_w_m2 = { value = 600 }\n",
                "a.toml");
        }),
        Contains("limits.minimum_irradiance_w_m2.source") || Contains("missing"));
}
