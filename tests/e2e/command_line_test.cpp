// The command line: help, slips, exit codes.
#include "survey_copy.hpp"

#include <catch2/catch.hpp>

using namespace heatrow::testing;
using Catch::Matchers::Contains;

TEST_CASE("help: every command explains itself with examples on stdout", "[e2e]") {
    for (const char* command : {"inspect", "check", "analyse", "measure"}) {
        CAPTURE(command);
        const auto result = heatrow::testing::heatrow({command, "--help"});
        CHECK(result.exit_code == 0);
        CHECK_THAT(result.out, Contains("Examples:") && Contains(std::string("heatrow ") + command));
        CHECK(result.err.empty());
    }
    const auto all = heatrow::testing::heatrow({"--help"});
    CHECK(all.exit_code == 0);
    CHECK_THAT(all.out, Contains("inspect") && Contains("analyse") && Contains("measure") && Contains("Exit codes"));
    CHECK_THAT(all.out, Contains("arrays are live") && Contains("never open a connector"));
}

TEST_CASE("version: one line", "[e2e]") {
    const auto result = heatrow::testing::heatrow({"--version"});
    CHECK(result.exit_code == 0);
    CHECK_THAT(result.out, Catch::Matchers::Matches("heatrow [0-9]+\\.[0-9]+\\.[0-9]+\n"));
}

TEST_CASE("slips: an unknown command or option is named with the nearest one, exit code 2", "[e2e]") {
    const auto command = heatrow::testing::heatrow({"analyze", "survey"});
    CHECK(command.exit_code == 2);
    CHECK_THAT(command.err, Contains("'analyze'") && Contains("Did you mean 'analyse'"));
    CHECK(command.out.empty());

    const auto option = heatrow::testing::heatrow({"analyse", "survey", "--out", "x", "--overwite"});
    CHECK(option.exit_code == 2);
    CHECK_THAT(option.err, Contains("--overwite") && Contains("Did you mean '--overwrite'"));

    const auto missing = heatrow::testing::heatrow({"analyse", "survey"});
    CHECK(missing.exit_code == 2);
    CHECK_THAT(missing.err, Contains("--out") && Contains("heatrow analyse --help"));

    CHECK(heatrow::testing::heatrow({}).exit_code == 2);
}

TEST_CASE("analyse: a survey that is not there is a usage error that says what was looked for", "[e2e]") {
    const auto result = heatrow::testing::heatrow({"analyse", "no-such-folder", "--out", "x"});
    CHECK(result.exit_code == 2);
    CHECK_THAT(result.err, Contains("no-such-folder"));
}
