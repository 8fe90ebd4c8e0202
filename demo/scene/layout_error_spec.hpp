// By what the survey's layout differs from the site: [layout_error] of scene.toml.
#pragma once

#include <Eigen/Core>

#include <string>
#include <vector>

namespace scene {

class Section;

// Tables that the layout draws wrongly, all in the same way.
struct WrongPart {
    std::vector<std::string> tables;  // ids, as the first season has them
    double along_m = 0.0;             // drawn so far along the row
    double up_m = 0.0;                // and up the slope
    double along_scale = 1.0;         // drawn so many times as long, from the lower left corner
    double up_scale = 1.0;
};

struct LayoutErrorSpec {
    Eigen::Vector2d shift_m{0.0, 0.0};  // of the whole layout, east and north
    std::vector<WrongPart> parts;
};

LayoutErrorSpec read_layout_error(Section section);

}  // namespace scene
