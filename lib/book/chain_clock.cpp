#include "chain_clock.hpp"
#include "tarebook/units/word_list.hpp"

namespace tarebook {
namespace {

// When a canonical body was recorded. Text in it has no bare quotation mark, so the first such key is the event's own.
std::optional<Instant> recorded_in(std::string_view body) {
    constexpr std::string_view key = ",\"recorded\":\"";
    const auto at = body.find(key);
    if (at == std::string_view::npos) return std::nullopt;
    const auto rest = body.substr(at + key.size());
    return instant_from_text(rest.substr(0, rest.find('"')));
}

}  // namespace

RecordedBefore ChainClock::before(const Event& event) {
    const auto origin = origin_id(event.book, event.branch);
    RecordedBefore out;
    out.on_chain = on_chain(origin, event);
    if (const auto* merge = std::get_if<kinds::Merge>(&event.what); merge && book_.is_own(origin, event.seq))
        out.received = received(*merge);
    return out;
}

std::optional<Instant> ChainClock::on_chain(std::int64_t origin, const Event& event) {
    std::optional<Instant> out;
    if (event.seq > 1) {
        const auto last = last_.find(origin);
        if (last != last_.end() && last->second.seq == event.seq - 1)
            out = last->second.recorded;
        else
            out = recorded_up_to(origin, event.seq - 1);
    }
    const bool is_typist = std::holds_alternative<kinds::Typist>(event.what);
    last_[origin] = {event.seq, is_typist ? out : event.recorded};
    return out;
}

// Of the last event up to a number that is no `typist`: that one is recorded with the event behind it, and says nothing
// of the clock.
std::optional<Instant> ChainClock::recorded_up_to(std::int64_t origin, std::int64_t seq) {
    for (; seq > 0; --seq) {
        const auto known = book_.origins.find(origin);
        if (known != book_.origins.end() && known->second.parent != 0 && known->second.parent_seq == seq)
            origin = known->second.parent;
        if (unstored_ && origin == book_.writer().origin)
            if (auto there = unstored_(seq)) return there;
        auto s = book_.db.ask("SELECT body, kind FROM event WHERE origin = ? AND seq = ?", origin, seq);
        if (!s.next()) return std::nullopt;
        if (s.bytes(1) != kinds::Typist::name) return recorded_in(s.bytes(0));
    }
    return std::nullopt;
}

// When the newest event that the merge received was recorded. The events that it names are in the file: none is ever
// removed.
std::optional<RecordedBefore::Received> ChainClock::received(const kinds::Merge& merge) {
    std::optional<RecordedBefore::Received> out;
    for (const auto one : split(merge.heads, ' ')) {
        const auto colon = one.find(':');
        const auto book = book_id_from_hex(one.substr(0, colon));
        const auto head = colon == std::string_view::npos ? std::nullopt : head_from(one.substr(colon + 1));
        if (!book || !head) continue;
        auto body = book_.db.ask("SELECT body FROM event WHERE id = ?", book_.row_with_digest(head->digest));
        const auto recorded = body.next() ? recorded_in(body.bytes(0)) : std::nullopt;
        if (recorded && (!out || out->recorded < *recorded)) out = RecordedBefore::Received{*book, *recorded};
    }
    return out;
}

}  // namespace tarebook
