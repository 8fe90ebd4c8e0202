#include "heatrow/core/error.hpp"
#include "heatrow/io/pose_reader.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    static const heatrow::SiteProjection site({-3.65, 40.12, heatrow::Metres(0.0)});
    try {
        const heatrow::PoseMaker maker({}, site);
        (void)heatrow::make_poses(
            heatrow::parse_pose_rows(
                {reinterpret_cast<const char*>(data), size}, "poses.csv", heatrow::Clock{}, maker.rules()),
            maker);
    } catch (const heatrow::Error&) {  // a refusal; anything else ends the program
    }
    return 0;
}
