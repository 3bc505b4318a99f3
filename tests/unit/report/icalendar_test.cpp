// Content lines after RFC 5545: section 3.1 (folding) and 3.3.11 (text).
#include <doctest/doctest.h>

#include "report/icalendar.hpp"

using namespace tarebook;
using namespace tarebook::report;

TEST_CASE("Lines are folded at 75 octets, and the blank of the next one counts") {
    CHECK(folded(std::string(75, 'a')) == std::string(75, 'a') + "\r\n");
    CHECK(folded(std::string(76, 'a')) == std::string(75, 'a') + "\r\n a\r\n");
    CHECK(folded(std::string(150, 'a')) == std::string(75, 'a') + "\r\n " + std::string(74, 'a') + "\r\n a\r\n");
}

TEST_CASE("No letter is cut in two") {
    // 74 octets, then one letter of two: it goes to the next line whole
    CHECK(folded(std::string(74, 'a') + "\xc3\xbc") == std::string(74, 'a') + "\r\n \xc3\xbc\r\n");
    CHECK(folded(std::string(73, 'a') + "\xe2\x82\xac") == std::string(73, 'a') + "\r\n \xe2\x82\xac\r\n");
}

TEST_CASE("Text is escaped") {
    CHECK(escaped_text("a;b,c\\d\ne\tf") == "a\\;b\\,c\\\\d\\ne f");
}

TEST_CASE("An entry has its day, or is a thing to do without one") {
    Calendar calendar(instant_from_text("2026-06-01T15:00:00Z").value(), 7);
    calendar.add({"due/repair/A/B/E1@00", "repair A/B", "why", parse_date("2026-07-01").value(), false});
    calendar.add({"due/statement/RC-1/E2@00", "statement", "why", {}, false});
    CHECK(
        calendar.page() ==
        "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//Tarebook//due//EN\r\n"
        "BEGIN:VEVENT\r\nUID:due/repair/A/B/"
        "E1@00\r\nDTSTAMP:20260601T150000Z\r\nSEQUENCE:7\r\nDTSTART;VALUE=DATE:20260701\r\n"
        "TRANSP:TRANSPARENT\r\nSUMMARY:repair A/B\r\nDESCRIPTION:why\r\nEND:VEVENT\r\n"
        "BEGIN:VTODO\r\nUID:due/statement/RC-1/E2@00\r\nDTSTAMP:20260601T150000Z\r\nSEQUENCE:7\r\nSUMMARY:statement\r\n"
        "DESCRIPTION:why\r\nEND:VTODO\r\nEND:VCALENDAR\r\n");
}

TEST_CASE("An entry may have a place and an alarm a week before (RFC 5545, 3.8.1.7 and 3.6.6)") {
    Calendar calendar(instant_from_text("2026-06-01T15:00:00Z").value(), 7);
    calendar.add({"u", "repair", "why", parse_date("2026-07-01").value(), false, "Oak Street store, 1 Oak St", true});
    CHECK(calendar.page().find("DESCRIPTION:why\r\nLOCATION:Oak Street store\\, 1 Oak St\r\nBEGIN:VALARM\r\n"
                               "ACTION:DISPLAY\r\nTRIGGER:-P7D\r\nDESCRIPTION:repair\r\nEND:VALARM\r\n"
                               "END:VEVENT\r\n") != std::string::npos);
}

TEST_CASE("What is closed is cancelled under the same UID, with a higher sequence (RFC 5545, 3.8.1.11 and 3.8.7.4)") {
    Calendar calendar(instant_from_text("2026-06-02T15:00:00Z").value(), 8);
    Calendar::Entry entry{"due/repair/A/B/E1@00", "closed: repair A/B", "why", parse_date("2026-07-01").value()};
    entry.cancelled = true;
    calendar.add(entry);
    Calendar::Entry task{"due/statement/RC-1/E2@00", "closed: statement", "why", {}, true};
    task.cancelled = true;
    calendar.add(task);
    CHECK(calendar.page() ==
          "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//Tarebook//due//EN\r\n"
          "BEGIN:VEVENT\r\nUID:due/repair/A/B/E1@00\r\nDTSTAMP:20260602T150000Z\r\nSEQUENCE:8\r\n"
          "DTSTART;VALUE=DATE:20260701\r\nTRANSP:TRANSPARENT\r\nSTATUS:CANCELLED\r\nSUMMARY:closed: repair A/B\r\n"
          "DESCRIPTION:why\r\nEND:VEVENT\r\n"
          "BEGIN:VTODO\r\nUID:due/statement/RC-1/E2@00\r\nDTSTAMP:20260602T150000Z\r\nSEQUENCE:8\r\n"
          "STATUS:CANCELLED\r\nSUMMARY:closed: statement\r\nDESCRIPTION:why\r\nEND:VTODO\r\nEND:VCALENDAR\r\n");
}
