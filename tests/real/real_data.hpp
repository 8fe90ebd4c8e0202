// Where the measured data of this test lies: $HEATROW_REAL_DATA/<part>, by default ../shared/real beside the project.
#pragma once

#include <filesystem>

namespace heatrow::real {

std::filesystem::path folder();

}  // namespace heatrow::real
