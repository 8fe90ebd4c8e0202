// write_sample FOLDER [STRINGS MODULES]: the result folder of the invented survey, for the tests in other programs.
#include "heatrow/io/result_writer.hpp"
#include "support/sample_crops.hpp"
#include "support/sample_facts.hpp"
#include "support/sample_record.hpp"

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
        const heatrow::SurveyRecord record = heatrow::testing::sample_record(options);
        heatrow::RunFacts facts = heatrow::testing::sample_facts();
        facts.crops = heatrow::testing::sample_crops(record);
        heatrow::write_results(record, facts, {}, argv[1], true);
    } catch (const std::exception& error) {
        std::cerr << error.what() << "\n";
        return 1;
    }
    return 0;
}
