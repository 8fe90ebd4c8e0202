// What the grader compares, read from a rendered folder and an analysis of it.
#pragma once

#include "matching.hpp"
#include "panel_type.hpp"
#include "scene_facts.hpp"

#include <filesystem>
#include <map>
#include <set>
#include <string>
#include <vector>

namespace scene {

// A module as the analysis measured it.
struct MeasuredModule {
    std::string module;
    double delta_t_1000_k = 0.0;       // NaN = not stated
    std::vector<double> cell_delta_k;  // as measured, row by row; NaN = no data; empty = none stated
    std::vector<double> cell_delta_1000_k;
};

// One kind of thing mirrored in one module of one frame (truth/mirrors.csv).
struct MirroredThing {
    std::string frame;
    std::string module;
    std::string kind;     // "sun", "cloud", "wall", "operator"
    double peak_k = 0.0;  // in its strongest cell
    std::set<int> cells;  // row by row
};

// Tables that the layout draws wrongly (truth/layout_errors.csv).
struct WrongLayoutPart {
    std::set<std::string> tables;
    std::set<std::string> modules;
};

struct GradeInput {
    SceneFacts facts;
    std::string refused;  // not empty: the analysis ended without a result, and this is its last message
    std::map<std::string, PanelType> types;  // of each module
    std::vector<FrameModule> outlines;
    std::vector<FrameModule> views;
    std::vector<Abnormality> faults;
    std::vector<MirroredThing> mirrored;
    std::map<std::string, WrongLayoutPart> wrong_layout_parts;  // by their number
    std::vector<std::string> notes;                             // of the result
    std::vector<Abnormality> findings;
    int modules = 0;                               // of the layout
    int modules_assessed = 0;                      // by modules.csv
    int frames = 0;                                // rendered
    std::map<std::string, std::string> string_of;  // of each module; empty = none
    std::vector<MeasuredModule> measured;
    std::map<std::string, double> string_delta_1000_k;
    std::map<std::string, std::vector<double>> true_cell_delta_k;  // of each module, row by row

    // The layout contradicts the site there: such a module should bear no name.
    [[nodiscard]] bool drawn_wrongly(const std::string& module) const;
};

// analysis: the output folder of `heatrow analyse`, or a text file with the messages of one that ended without a
// result.
GradeInput read_grade_input(const std::filesystem::path& rendered, const std::filesystem::path& analysis);

}  // namespace scene
