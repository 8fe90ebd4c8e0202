// A flight of evidence.jsonl as the library's naming takes it.
#pragma once

#include "flight_file.hpp"
#include "heatrow/georeference/flight_evidence.hpp"

namespace flights {

struct FlightCase {
    heatrow::FlightEvidence evidence;
    // Site place of each frame's own place 0, row 0 at offset (0, 0): the one nearest to the log.
    std::vector<heatrow::LatticeOffset> at_zero;
};

FlightCase evidence_of(const FlightFile& flight);

}  // namespace flights
