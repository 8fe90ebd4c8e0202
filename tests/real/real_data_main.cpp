// The main of every test on measured data: without the data it says so and returns 77, which ctest counts as skipped.
#define CATCH_CONFIG_RUNNER
#include "real_data.hpp"

#include <catch2/catch.hpp>

#include <cstdio>
#include <cstdlib>

namespace heatrow::real {

std::filesystem::path folder() {
    const char* named = std::getenv("HEATROW_REAL_DATA");
    const std::filesystem::path root =
        named != nullptr ? named : std::filesystem::path(HEATROW_SOURCE_DIR) / ".." / "shared" / "real";
    return root / HEATROW_REAL_PART;
}

}  // namespace heatrow::real

int main(int argc, char** argv) {
    constexpr int kNotRun = 77;
    if (!std::filesystem::is_directory(heatrow::real::folder())) {
        std::printf("not run: no folder %s (set HEATROW_REAL_DATA)\n", heatrow::real::folder().c_str());
        return kNotRun;
    }
    return Catch::Session().run(argc, argv);
}
