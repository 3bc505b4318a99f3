// A calendar in the form of RFC 5545: CRLF, lines folded at 75 octets between letters, text escaped.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "tarebook/event/moment.hpp"

namespace tarebook::report {

class Calendar {
 public:
    /// `stamp`: the moment at which every entry was made. `sequence`: higher than in any calendar before in which an
    /// entry was otherwise (RFC 5545, 3.8.7.4).
    Calendar(Instant stamp, std::int64_t sequence);
    struct Entry {
        std::string uid;  ///< the same in every calendar
        std::string summary, description;
        std::optional<Date> day;    ///< a whole day; empty for a task without a day
        bool done = false;          ///< for a task
        std::string location = {};  ///< empty for none
        bool alarm = false;         ///< a week before the day
        bool cancelled = false;     ///< it was in a calendar before, and is to be taken out of it
    };
    void add(const Entry& entry);
    [[nodiscard]] std::string page() const;

 private:
    void line(std::string_view name, std::string_view value);
    void text_line(std::string_view name, std::string_view text);
    std::string out_;
    std::string stamp_, sequence_;
};

/// Section 3.1: a content line, folded, with its line end.
std::string folded(std::string_view content_line);
/// Section 3.3.11: backslash, semicolon, comma and line end are escaped; other control characters become blanks.
std::string escaped_text(std::string_view text);

}  // namespace tarebook::report
