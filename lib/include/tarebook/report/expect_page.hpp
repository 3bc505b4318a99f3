// Expected pounds: what an isolated circuit would hold, reckoned from its piping on record, and what stays in it at a
// vacuum. A sanity range beside the scale; never an amount to record.
//
//     ExpectQuestion question{"OAK/RACK-B/4"};
//     question.pressure = parse_pressure("36psig").value();       // what the gauge shows, everything pumped down
//     auto page = expect_page(book, question, {Format::text, DisplayUnits::lb, now}).value();
#pragma once

#include <optional>
#include <string>

#include "tarebook/report/pt_page.hpp"

namespace tarebook {

/// A circuit, and what is known of its state.
struct ExpectQuestion {
    std::string circuit;
    std::optional<PressureReading>
        pressure;                   ///< that of the whole circuit; without one it is working, its valves just shut
    std::optional<Temperature> at;  ///< of the vapour
    std::optional<Temperature> liquid_at;  ///< of the liquid line, where the circuit was working
    std::optional<PressureReading> left;   ///< what it is emptied to; else 0 psig and 10 inHg are shown
    Barometer barometer;
};

/// What the circuit would hold. Errors (refused): unknown-circuit, no-piping, circuit-refrigerant-unknown, and those of
/// expected_charge.
Result<Page> expect_page(const Book& book, const ExpectQuestion& question, const PageOptions& options);

}  // namespace tarebook
