// Runs a fuzz target without a fuzzer: over its seeds, and over a fixed number of deterministic mutations of each.
#include <algorithm>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <random>
#include <string>
#include <vector>

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size);

namespace {

using Bytes = std::vector<std::uint8_t>;

std::vector<Bytes> read_seeds(const std::filesystem::path& folder) {
    std::vector<std::filesystem::path> files;
    for (const auto& entry : std::filesystem::directory_iterator(folder)) {
        files.push_back(entry.path());
    }
    std::sort(files.begin(), files.end());
    std::vector<Bytes> seeds;
    for (const auto& file : files) {
        std::ifstream stream(file, std::ios::binary);
        seeds.emplace_back(std::istreambuf_iterator<char>(stream), std::istreambuf_iterator<char>());
    }
    return seeds;
}

// One to eight of: a flipped bit, a byte set to a notable value, bytes cut out, bytes repeated, the end cut off, a part
// of another seed put in.
Bytes mutate(Bytes bytes, const std::vector<Bytes>& seeds, std::mt19937_64& random) {
    constexpr std::uint8_t kNotable[] = {0, 1, 2, 9, 10, 13, 32, '"', ',', ';', '=', '[', '-', '.', '9', 127, 128, 255};
    const auto below = [&random](std::size_t limit) {
        return static_cast<std::size_t>(random() % std::max<std::size_t>(limit, 1));
    };
    for (std::size_t steps = 1 + below(8); steps > 0 && !bytes.empty(); --steps) {
        const std::size_t at = below(bytes.size());
        const auto place = bytes.begin() + static_cast<std::ptrdiff_t>(at);
        const std::size_t length = std::min<std::size_t>(1 + below(16), bytes.size() - at);
        const auto stop = place + static_cast<std::ptrdiff_t>(length);
        switch (below(6)) {
            case 0:
                bytes[at] = static_cast<std::uint8_t>(bytes[at] ^ (1U << below(8)));
                break;
            case 1:
                bytes[at] = kNotable[below(std::size(kNotable))];
                break;
            case 2:
                bytes.erase(place, stop);
                break;
            case 3: {
                const Bytes part(place, stop);
                bytes.insert(place, part.begin(), part.end());
                break;
            }
            case 4:
                if (below(4) == 0) {
                    bytes.resize(at);
                }
                break;
            default: {
                const Bytes& other = seeds[below(seeds.size())];
                const std::size_t from = below(other.size());
                const auto begin = other.begin() + static_cast<std::ptrdiff_t>(from);
                const auto end = begin + static_cast<std::ptrdiff_t>(std::min<std::size_t>(32, other.size() - from));
                bytes.insert(place, begin, end);
                break;
            }
        }
    }
    return bytes;
}

}  // namespace

int main(int argc, char** argv) {
    if (argc != 3) {
        std::fprintf(stderr, "usage: %s SEEDS_FOLDER MUTATIONS\n", argv[0]);
        return 2;
    }
    const std::vector<Bytes> seeds = read_seeds(argv[1]);
    if (seeds.empty()) {
        std::fprintf(stderr, "%s holds no seed\n", argv[1]);
        return 1;
    }
    for (const Bytes& seed : seeds) {
        LLVMFuzzerTestOneInput(seed.data(), seed.size());
    }
    const long mutations = std::strtol(argv[2], nullptr, 10);
    std::mt19937_64 random(1);
    for (long i = 0; i < mutations; ++i) {
        const Bytes bytes = mutate(seeds[static_cast<std::size_t>(i) % seeds.size()], seeds, random);
        LLVMFuzzerTestOneInput(bytes.data(), bytes.size());
    }
    std::printf("%zu seeds and %ld mutations\n", seeds.size(), mutations);
    return 0;
}
