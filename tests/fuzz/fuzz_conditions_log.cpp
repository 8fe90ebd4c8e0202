#include "heatrow/core/error.hpp"
#include "heatrow/io/conditions_log.hpp"
#include "heatrow/io/electrical_log.hpp"
#include "heatrow/io/metar.hpp"

// The first byte chooses parser and clock.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    if (size == 0) {
        return 0;
    }
    const std::string_view bytes(reinterpret_cast<const char*>(data) + 1, size - 1);
    heatrow::Clock clock;
    if ((data[0] & 4U) != 0) {
        clock.scale = heatrow::Clock::Zone{"Europe/Madrid"};
    }
    try {
        switch (data[0] & 3U) {
            case 0:
            case 1:
                (void)heatrow::parse_conditions_log(bytes, "log.csv", clock);
                break;
            case 2:
                (void)heatrow::parse_electrical_log(bytes, "amps.csv", clock);
                break;
            default:
                (void)heatrow::parse_metar_file(bytes, "metar.txt", heatrow::UtcTime{});
                break;
        }
    } catch (const heatrow::Error&) {  // a refusal; anything else ends the program
    }
    return 0;
}
