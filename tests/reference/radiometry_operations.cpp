#include "operations.hpp"

namespace heatrow::reference {

void add_radiometry_operations(Operations&) {}

}  // namespace heatrow::reference
