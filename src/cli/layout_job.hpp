// The jobs of `heatrow layout`.
#pragma once

#include "job.hpp"

#include <memory>

namespace heatrow::cli {

std::unique_ptr<Job> make_layout_check();
std::unique_ptr<Job> make_layout_draft();
std::unique_ptr<Job> make_layout_draw();
std::unique_ptr<Job> make_layout_make();
std::unique_ptr<Job> make_layout_read();
std::unique_ptr<Job> make_layout_types();

}  // namespace heatrow::cli
