// The air check as a page, and what the book knows for it.
#pragma once

#include <optional>
#include <string>

#include "tarebook/refrigerant/air_check.hpp"
#include "tarebook/report/pt_page.hpp"

namespace tarebook {

/// What gauge and thermometer showed, as typed.
struct TypedReadings {
    std::string pressure, temperature;
    std::optional<std::string> gauge_accuracy = std::nullopt, thermometer_accuracy = std::nullopt,
                               barometer = std::nullopt, altitude = std::nullopt;
};
/// The same, parsed.
struct AirCheckReadings {
    AbsolutePressure pressure = AbsolutePressure::kilopascals(0);
    Temperature temperature = Temperature::celsius(0);
    PressureDifference gauge_accuracy = AirCheckQuestion{}.gauge_accuracy;
    TemperatureDifference thermometer_accuracy = AirCheckQuestion{}.thermometer_accuracy;
    Barometer barometer = {};
};
/// Parses the words. Errors (usage): those of parse_pressure, parse_temperature, their accuracies and parse_place.
Result<AirCheckReadings> air_check_readings(const TypedReadings& typed);

/// What an air check page shows.
struct AirCheckPage {
    AirCheckQuestion question;
    std::optional<std::string> cylinder = std::nullopt;
    Barometer barometer = {};
    std::optional<PressureUnit> unit = std::nullopt;  ///< as in PtQuestion
    std::string country = {};                         ///< where the cylinder is; empty: not on record
};

/// Puts the readings into the page's question.
void set(AirCheckPage& page, const AirCheckReadings& readings);

/// Contents, inside volume and net of a cylinder as the book has them now. Error (refused): unknown-cylinder.
Result<AirCheckQuestion> air_check_question_for(const Book& book, std::string_view cylinder);

/// Errors: those of air_check.
Result<Page> air_check_page(const AirCheckPage& page, const PageOptions& options);

}  // namespace tarebook
