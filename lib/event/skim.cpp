#include <charconv>

#include "tarebook/event_skim.hpp"

namespace tarebook {
namespace {

bool is_hex(std::string_view text, std::size_t size) {
    if (text.size() != size) return false;
    unsigned bad = 0;  // no way out in between: the compiler then takes many letters at once
    for (const char c : text) {
        const auto digit = static_cast<unsigned char>(c - '0');
        const auto letter = static_cast<unsigned char>(c - 'a');
        bad |= static_cast<unsigned>(digit > 9) & static_cast<unsigned>(letter > 5);
    }
    return bad == 0;
}

// Two digits below `end`; -1 where there are none.
int two(const char* p, int end) {
    const auto tens = static_cast<unsigned>(p[0] - '0');
    const auto ones = static_cast<unsigned>(p[1] - '0');
    if (tens > 9 || ones > 9) return -1;
    const auto v = static_cast<int>(tens * 10 + ones);
    return v < end ? v : -1;
}

}  // namespace

std::int64_t skim::Cursor::number(std::size_t most_bytes) {
    std::int64_t v = 0;
    const auto [end, error] = std::from_chars(at_, end_, v);
    const auto length = static_cast<std::size_t>(end - at_);
    if (error != std::errc() || length > most_bytes) throw NotSkimmed();
    const auto first = *at_ == '-' ? 1U : 0U;
    if (at_[first] == '0' && (length > 1 || first == 1)) throw NotSkimmed();  // no 007, no -0
    at_ = end;
    return v;
}

bool Skimmer::is_day(std::string_view text) {
    if (text == day_ || text == other_day_) return true;
    if (text.size() != 10 || !parse_date(text)) return false;
    other_day_ = std::move(day_);
    day_ = text;
    return true;
}

bool Skimmer::is_instant(std::string_view text) {
    return text.size() == 20 && is_day(text.substr(0, 10)) && text[10] == 'T' && two(&text[11], 24) >= 0 &&
           text[13] == ':' && two(&text[14], 60) >= 0 && text[16] == ':' && two(&text[17], 60) >= 0 && text[19] == 'Z';
}

void Skimmer::until_kind(skim::Cursor& cursor, SkimmedEvent& e) {
    cursor.open();
    e.anyway = cursor.optional("anyway");
    at_ = cursor.needed("at");
    if (!is_instant(at_)) throw NotSkimmed();
    const auto book = cursor.needed("book");
    if (book != book_) {
        if (!is_hex(book, 32)) throw NotSkimmed();
        book_ = book;
    }
    e.by = cursor.optional("by");
    e.date = cursor.needed("date");
    e.job = cursor.optional("job");
    e.kind = cursor.needed("kind");
}

void Skimmer::until_what(skim::Cursor& cursor, SkimmedEvent& e) {
    constexpr std::int64_t limit = std::int64_t{1} << 53;
    e.note = cursor.optional("note");
    cursor.need("offset_min");
    const auto offset_min = cursor.number(17);
    if (offset_min <= -1440 || offset_min >= 1440) throw NotSkimmed();
    e.own_id = cursor.optional("own_id");
    if (!is_hex(cursor.needed("prev"), 64) || !is_instant(cursor.needed("recorded"))) throw NotSkimmed();
    e.scale = cursor.optional("scale");
    cursor.need("seq");
    e.seq = cursor.number(17);
    if (e.seq >= limit || e.seq <= -limit) throw NotSkimmed();
    cursor.need("v");
    if (cursor.number(17) != body_version) throw NotSkimmed();
    cursor.need("what");

    // the local clock; its day is the one in UTC unless the offset leads over midnight
    auto minute = two(&at_[11], 24) * 60 + two(&at_[14], 60) + static_cast<int>(offset_min);
    if (minute < 0 || minute >= 1440 || e.date != at_.substr(0, 10)) throw NotSkimmed();
    const auto digit = [](int v) { return static_cast<char>('0' + v); };
    const int hour = minute / 60;
    minute %= 60;
    e.time = {digit(hour / 10), digit(hour % 10), ':', digit(minute / 10), digit(minute % 10)};
}

}  // namespace tarebook
