#include "operations.hpp"

namespace heatrow::reference {

void add_sun_operations(Operations&) {}

}  // namespace heatrow::reference
