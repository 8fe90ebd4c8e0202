// write_sample FOLDER [STRINGS MODULES]: the result folder of the invented survey, for the tests in other programs.
#include "support/sample_result.hpp"

#include <cstdlib>
#include <exception>
#include <iostream>

int main(int argc, char** argv) {
    if (argc != 2 && argc != 4) {
        std::cerr << "usage: write_sample FOLDER [STRINGS MODULES]\n";
        return 2;
    }
    heatrow::testing::SampleOptions options;
    if (argc == 4) {
        options.strings = std::atoi(argv[2]);
        options.modules_per_string = std::atoi(argv[3]);
    }
    try {
        heatrow::testing::write_sample_result(argv[1], options);
    } catch (const std::exception& error) {
        std::cerr << error.what() << "\n";
        return 1;
    }
    return 0;
}
