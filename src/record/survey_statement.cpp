#include "heatrow/record/survey_statement.hpp"

#include <algorithm>
#include <string_view>

namespace heatrow {
namespace {

class Missing {
  public:
    void ask(const std::string& value, std::string_view name) {
        if (value.empty()) {
            list_.emplace_back(name);
        }
    }
    void ask(const PersonStatement& person, std::string_view role) {
        ask(person.name, std::string(role));
        ask(person.qualification, "qualification of the " + std::string(role));
    }
    void ask(const InstrumentStatement& instrument) {
        const std::string of = " of the instrument for " + instrument.measures;
        ask(instrument.model, "model" + of);
        ask(instrument.serial, "serial number" + of);
        ask(instrument.calibrated, "calibration date" + of);
        ask(instrument.certificate, "calibration certificate" + of);
    }
    std::vector<std::string> take() { return std::move(list_); }

  private:
    std::vector<std::string> list_;
};

}  // namespace

std::vector<std::string> not_stated(const SurveyStatement& statement) {
    Missing missing;
    missing.ask(statement.client, "client");
    missing.ask(statement.plant, "name of the plant");
    missing.ask(statement.address, "address of the plant");
    missing.ask(statement.capacity, "capacity of the plant");
    missing.ask(statement.purpose, "purpose of the inspection");
    missing.ask(statement.procedure, "procedure of the inspection");
    missing.ask(statement.inspector, "inspector");
    missing.ask(statement.analyst, "analyst");
    missing.ask(statement.reviewer, "reviewer");
    for (const InstrumentStatement& instrument : statement.instruments) {
        missing.ask(instrument);
    }
    for (const std::string_view needed : {"irradiance", "wind", "air temperature"}) {
        const auto found =
            std::find_if(statement.instruments.begin(),
                         statement.instruments.end(),
                         [needed](const InstrumentStatement& instrument) { return instrument.measures == needed; });
        if (found == statement.instruments.end()) {
            missing.ask(std::string(), "instrument for " + std::string(needed));
        }
    }
    return missing.take();
}

}  // namespace heatrow
