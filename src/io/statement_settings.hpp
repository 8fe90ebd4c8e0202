// What survey.toml states about people, plant and instruments: keys of [survey] and [[camera]], and [[instrument]].
#pragma once

#include "heatrow/record/survey_statement.hpp"
#include "toml_section.hpp"

#include <string_view>
#include <vector>

namespace heatrow {

std::vector<std::string_view> survey_keys();
// The keys by which a camera is described beside its optics.
std::vector<std::string_view> instrument_keys();

// Everything but the instruments.
SurveyStatement read_survey_statement(const detail::TomlSection& survey);
// Throws Error(usage) for a date that is none.
InstrumentStatement read_instrument(const detail::TomlSection& section, std::string measures);
// The [[instrument]] tables of the file.
std::vector<InstrumentStatement> read_instruments(const detail::TomlSection& root);

}  // namespace heatrow
