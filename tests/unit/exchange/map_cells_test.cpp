// Dates, times and units of a person's own file: read as the mapping says, and never by guess.
#include <doctest/doctest.h>
#include <fmt/format.h>

#include "exchange/map_dates.hpp"
#include "exchange/map_units.hpp"
#include "tarebook/units/mass.hpp"

using namespace tarebook;

namespace {

std::string day_in(const char* pattern, const char* cell) {
    const auto read = DayPattern::read(pattern);
    if (!read) return read.error().name;
    const auto parts = read->take(cell);
    if (!parts) return parts.error().name;
    auto out = fmt::format("{:04}-{:02}", parts->year, parts->month);
    if (parts->day) out += fmt::format("-{:02}", *parts->day);
    if (parts->time) out += " " + *parts->time;
    return out;
}

std::string time_in(const char* cell) {
    const auto time = clock_time(cell);
    return time ? *time : time.error().name;
}

std::string weight_in(const char* cell, ColumnUnit unit) {
    const auto typed = with_unit(cell, unit);
    if (!typed) return typed.error().name;
    const auto weight = parse_weight(*typed, ScaleReads::unknown);
    return weight ? pounds_text(weight->mass) : weight.error().name;
}

}  // namespace

TEST_CASE("The same cell is another day under another form, and only the form decides") {
    CHECK(day_in("MM/DD/YYYY", "03/04/2025") == "2025-03-04");
    CHECK(day_in("DD/MM/YYYY", "03/04/2025") == "2025-04-03");
    CHECK(day_in("DD.MM.YYYY", "3.4.2025") == "2025-04-03");
    CHECK(day_in("YYYY-MM-DD", "2025-03-04") == "2025-03-04");
    CHECK(day_in("MM/DD/YY", "3/4/25") == "2025-03-04");
    CHECK(day_in("MM/YYYY", "04/2024") == "2024-04");
}

TEST_CASE("A cell that is not of its form is no date") {
    for (const char* cell : {"13/04/2025", "02/30/2025", "03-04-2025", "03/04/25", "03/04/2025 ", "3/4", "", "soon",
                             "003/04/2025", "03/04/20255", "00/04/2025"})
        CHECK_MESSAGE(day_in("MM/DD/YYYY", cell) == "date-format", cell);
    CHECK(day_in("MM/DD/YYYY", "02/29/2024") == "2024-02-29");
}

TEST_CASE("A time may stand with the day, with AM or PM behind it") {
    CHECK(day_in("MM/DD/YY hh:mm", "1/5/26 8:40 AM") == "2026-01-05 08:40");
    CHECK(day_in("MM/DD/YY hh:mm", "1/5/26 2:15 pm") == "2026-01-05 14:15");
    CHECK(day_in("MM/DD/YY hh:mm", "1/5/26 14:15") == "2026-01-05 14:15");
    CHECK(day_in("YYYY-MM-DDThh:mm:ss", "2026-01-05T14:15:09") == "map-dates");  // T is a letter of no part
    CHECK(day_in("YYYY-MM-DD hh:mm:ss", "2026-01-05 14:15:09") == "2026-01-05 14:15:09");
    CHECK(day_in("MM/DD/YY hh:mm", "1/5/26 2:15 xm") == "time-format");
    CHECK(day_in("MM/DD/YY hh:mm", "1/5/26") == "date-format");
}

TEST_CASE("A form that could not be read one way only is refused") {
    for (const char* form : {"", "DD/MM", "YYYY", "MMDDYYYY", "MM/MM/YYYY", "MM/DD/YY/YYYY", "M/D/YYYY",
                             "MM/DD/YYYY hh", "month DD YYYY", "MM/DD/2025"})
        CHECK_MESSAGE(day_in(form, "03/04/2025") == "map-dates", form);
}

TEST_CASE("Noon and midnight are where the twelve-hour clock has them") {
    CHECK(time_in("12:00 AM") == "00:00");
    CHECK(time_in("12:30 PM") == "12:30");
    CHECK(time_in("11:59PM") == "23:59");
    CHECK(time_in("7:05") == "07:05");
    for (const char* cell : {"14:30 PM", "0:30 PM", "14.30", "24:00", "12:60", "noon", "", "10:00Z", "10:00 M"})
        CHECK_MESSAGE(time_in(cell) == "time-format", cell);
}

TEST_CASE("A bare number is in the unit of its column, and without one it is refused") {
    CHECK(weight_in("27.4", ColumnUnit::lb) == "27.40");
    CHECK(weight_in("27.4 LBS", ColumnUnit::lb) == "27.40");
    CHECK(weight_in("10", ColumnUnit::kg) == "22.046226");
    CHECK(weight_in("27.4", ColumnUnit::as_written) == "weight-no-unit");
    CHECK(weight_in("27.4 lb", ColumnUnit::as_written) == "27.40");
    CHECK(weight_in("10kg", ColumnUnit::as_written) == "22.046226");
}

TEST_CASE("A cell in another unit than its column is refused, whichever way round") {
    CHECK(weight_in("12.4 kg", ColumnUnit::lb) == "weight-unit");
    CHECK(weight_in("27 lb 8 oz", ColumnUnit::lb) == "weight-unit");
    CHECK(weight_in("27.4lb", ColumnUnit::kg) == "weight-unit");
    CHECK(weight_in("about 27", ColumnUnit::lb) == "weight-unit");
    CHECK(weight_in("27,4", ColumnUnit::lb) == "weight-comma");
}

TEST_CASE("Pounds and ounces may be parted as people part them, but a point parts nothing") {
    for (const char* cell : {"27 8", "27-8", "27:8", "27 lb 8 oz", "27lb 8oz"})
        CHECK_MESSAGE(weight_in(cell, ColumnUnit::lb_oz) == "27.50", cell);
    CHECK(weight_in("27.8", ColumnUnit::lb_oz) == "weight-no-unit");
    CHECK(weight_in("27", ColumnUnit::lb_oz) == "weight-no-unit");
    CHECK(weight_in("27 16", ColumnUnit::lb_oz) == "weight-ounces");
}

TEST_CASE("Litres are for water capacities alone") {
    CHECK(column_unit_from("L", true).value() == ColumnUnit::litre);
    CHECK(column_unit_from("L", false).error().name == "map-unit");
    CHECK(column_unit_from("pounds", false).error().name == "map-unit");
    CHECK(column_unit_from("lb-oz", false).value() == ColumnUnit::lb_oz);
    CHECK(with_unit("21.6", ColumnUnit::litre).value() == "21.6L");
}
