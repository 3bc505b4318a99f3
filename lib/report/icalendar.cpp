#include "icalendar.hpp"
#include "tarebook/units/utf8.hpp"

#include <algorithm>

namespace tarebook::report {
namespace {

std::string without_dashes(std::string text) {
    std::erase_if(text, [](char c) { return c == '-' || c == ':'; });
    return text;
}

}  // namespace

std::string folded(std::string_view rest) {
    constexpr std::size_t most = 75;
    std::string out;
    std::size_t room = most;
    while (rest.size() > room) {
        const auto line = cut_to_bytes(rest, room);
        out.append(line).append("\r\n ");
        rest.remove_prefix(line.size());
        room = most - 1;  // the blank that begins the next line counts
    }
    return out.append(rest).append("\r\n");
}

std::string escaped_text(std::string_view text) {
    std::string out;
    for (const char c : text) {
        if (c == '\\' || c == ';' || c == ',') out += '\\';
        if (c == '\n')
            out += "\\n";
        else
            out += static_cast<unsigned char>(c) < 0x20 || c == 0x7f ? ' ' : c;
    }
    return out;
}

Calendar::Calendar(Instant stamp, std::int64_t sequence)
    : stamp_(without_dashes(instant_text(stamp))), sequence_(std::to_string(sequence)) {
    line("BEGIN", "VCALENDAR");
    line("VERSION", "2.0");
    line("PRODID", "-//Tarebook//due//EN");
}
void Calendar::line(std::string_view name, std::string_view value) {
    std::string whole(name);
    whole.append(":").append(value);
    out_ += folded(whole);
}
void Calendar::text_line(std::string_view name, std::string_view text) {
    line(name, escaped_text(text));
}

void Calendar::add(const Entry& entry) {
    const std::string_view kind = entry.day ? "VEVENT" : "VTODO";
    line("BEGIN", kind);
    text_line("UID", entry.uid);
    line("DTSTAMP", stamp_);
    line("SEQUENCE", sequence_);
    if (entry.day) {
        line("DTSTART;VALUE=DATE", without_dashes(date_text(*entry.day)));
        line("TRANSP", "TRANSPARENT");
    }
    if (entry.cancelled) {  // RFC 5545, 3.8.1.11
        line("STATUS", "CANCELLED");
    } else if (!entry.day && entry.done) {
        line("STATUS", "COMPLETED");
    }
    text_line("SUMMARY", entry.summary);
    text_line("DESCRIPTION", entry.description);
    if (!entry.location.empty()) text_line("LOCATION", entry.location);
    if (entry.alarm) {  // RFC 5545, 3.6.6
        line("BEGIN", "VALARM");
        line("ACTION", "DISPLAY");
        line("TRIGGER", "-P7D");
        text_line("DESCRIPTION", entry.summary);
        line("END", "VALARM");
    }
    line("END", kind);
}

std::string Calendar::page() const {
    return out_ + folded("END:VCALENDAR");
}

}  // namespace tarebook::report
