// What reading the frames of a survey costs at least with the usual reader: opens and decodes every TIFF of a folder
// with GDAL, and does nothing with it. Usage: decode_frames FOLDER THREADS. Prints seconds.
#include <fmt/format.h>
#include <gdal_priv.h>
#include <oneapi/tbb/parallel_for.h>
#include <oneapi/tbb/task_arena.h>

#include <algorithm>
#include <atomic>
#include <chrono>
#include <cstdint>
#include <cstdlib>
#include <filesystem>
#include <string>
#include <vector>

namespace {

bool decode(const std::string& file) {
    const auto dataset = GDALDataset::Open(file.c_str(), GDAL_OF_RASTER | GDAL_OF_READONLY);
    if (dataset == nullptr) {
        return false;
    }
    const int width = dataset->GetRasterXSize();
    const int height = dataset->GetRasterYSize();
    std::vector<std::uint16_t> pixels(static_cast<std::size_t>(width) * static_cast<std::size_t>(height));
    const CPLErr error = dataset->GetRasterBand(1)->RasterIO(
        GF_Read, 0, 0, width, height, pixels.data(), width, height, GDT_UInt16, 0, 0, nullptr);
    GDALClose(dataset);
    return error == CE_None;
}

}  // namespace

int main(int argc, char** argv) {
    if (argc != 3) {
        fmt::print(stderr, "usage: decode_frames FOLDER THREADS\n");
        return 2;
    }
    std::vector<std::string> files;
    for (const auto& entry : std::filesystem::directory_iterator(argv[1])) {
        if (entry.path().extension() == ".tif") {
            files.push_back(entry.path().string());
        }
    }
    std::sort(files.begin(), files.end());
    GDALAllRegister();
    std::atomic<bool> failed = files.empty();
    const auto start = std::chrono::steady_clock::now();
    oneapi::tbb::task_arena arena(std::atoi(argv[2]));
    arena.execute([&] {
        oneapi::tbb::parallel_for(
            std::size_t{0}, files.size(), [&](std::size_t i) { failed = !decode(files[i]) || failed; });
    });
    const std::chrono::duration<double> elapsed = std::chrono::steady_clock::now() - start;
    if (failed) {
        fmt::print(stderr, "decode_frames: {} holds no TIFF, or one could not be decoded\n", argv[1]);
        return 1;
    }
    fmt::print("{:.3f}\n", elapsed.count());
    return 0;
}
