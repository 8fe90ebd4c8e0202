#include "heatrow/core/error.hpp"
#include "heatrow/io/survey_settings.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    try {
        (void)heatrow::parse_survey_settings({reinterpret_cast<const char*>(data), size}, "/survey/survey.toml");
    } catch (const heatrow::Error&) {  // a refusal; anything else ends the program
    }
    return 0;
}
