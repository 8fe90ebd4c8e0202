// What the surveyor states about the survey and no frame can show: who, for whom, with which instruments. Empty texts
// are "not stated" in every output.
#pragma once

#include <string>
#include <vector>

namespace heatrow {

struct PersonStatement {
    std::string name;
    std::string qualification;  // e.g. the certificate as a thermographer and its level
    std::string employer;
};

struct InstrumentStatement {
    std::string measures;  // "thermal frames", "visible frames", "irradiance", "wind", ...
    std::string maker;
    std::string model;
    std::string serial;
    std::string lens;         // cameras only
    std::string calibrated;   // date of the calibration, ISO 8601
    std::string certificate;  // its number
};

struct SurveyStatement {
    std::string client;
    std::string plant;
    std::string address;
    std::string capacity;   // with its unit, e.g. "4.2 MWp"
    std::string purpose;    // e.g. "commissioning"
    std::string procedure;  // e.g. "simplified inspection"
    PersonStatement inspector;
    PersonStatement analyst;
    PersonStatement reviewer;
    std::vector<InstrumentStatement> instruments;  // the cameras first, in the order of survey.toml
};

// What a reader who must judge the survey will miss, one entry each, e.g. "calibration date of the instrument for
// irradiance"; empty where all is stated.
std::vector<std::string> not_stated(const SurveyStatement& statement);

}  // namespace heatrow
