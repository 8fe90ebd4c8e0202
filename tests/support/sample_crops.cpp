#include "support/sample_crops.hpp"

namespace heatrow::testing {

std::vector<FindingCrop> sample_crops(const SurveyRecord& record) {
    std::vector<FindingCrop> crops;
    for (std::size_t i = 0; i < record.findings.size(); ++i) {
        const Finding& finding = record.findings[i];
        if (finding.module == -1) {
            continue;
        }
        constexpr int kWidth = 64;
        constexpr int kHeight = 48;
        FindingCrop crop;
        crop.finding = static_cast<int>(i);
        crop.frame = finding.frames.front();
        crop.temperature_c = Image<float>(kWidth, kHeight, 31.0F);
        for (int y = 6; y < kHeight - 6; ++y) {
            for (int x = 18; x < kWidth - 18; ++x) {
                const bool hot = x >= 30 && x < 35 && y >= 20 && y < 25;
                crop.temperature_c.view()(x, y) = hot ? 62.0F : 44.0F + 0.01F * static_cast<float>(x + y);
            }
        }
        crop.modules_px = {{{17.5, 5.5}, {45.5, 5.5}, {45.5, 41.5}, {17.5, 41.5}}};
        crop.parts_px = {{{29.5, 19.5}, {34.5, 19.5}, {34.5, 24.5}, {29.5, 24.5}}};
        crop.hottest_px = Eigen::Vector2d(32.0, 22.0);
        crop.hottest = Celsius(62.0);
        crop.metres_per_pixel = Metres(0.035);
        crop.scale_low = Celsius(30.0);
        crop.scale_high = Celsius(65.0);
        crops.push_back(std::move(crop));
    }
    return crops;
}

}  // namespace heatrow::testing
