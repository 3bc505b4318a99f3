#include "touches.hpp"

namespace tarebook {

Touches touches_before(Book::Impl& book, std::int64_t cylinder_account, const OrderKey& order,
                       const std::map<std::int64_t, const Event*>& fresh) {
    auto& s =
        bound(book.db.statement("SELECT event, moved, gap, state FROM step WHERE cylinder = ? AND at >= ? AND (at, "
                                "origin, seq) < (?, ?, ?) ORDER BY at, origin, seq"),
              cylinder_account, seconds_of(order.at - touch_reach), seconds_of(order.at), origin_of(order), order.seq);
    struct Row {
        std::int64_t event;
        Mass moved, gap, contents;
    };
    std::vector<Row> rows;
    while (s.executeStep()) {
        rows.push_back({s.getColumn(0).getInt64(), Mass::from_count(s.getColumn(1).getInt64()),
                        Mass::from_count(s.getColumn(2).getInt64()), state_in(s.getColumn(3)).contents()});
    }
    s.reset();
    Touches out;
    if (rows.empty()) return out;
    auto& c = bound(book.db.statement("SELECT code FROM account WHERE id = ?"), cylinder_account);
    const std::string code = c.executeStep() ? c.getColumn(0).getString() : std::string();
    c.reset();
    for (const auto& row : rows) {
        if (const auto draft = fresh.find(row.event); draft != fresh.end()) {
            const auto& e = *draft->second;
            out.push_back({touch_of(e, code, row.moved, row.gap, row.contents, event_name(e.seq)), 0});
            continue;
        }
        const auto stored = book.load(row.event);
        out.push_back({touch_of(stored.event, code, row.moved, row.gap, row.contents, stored.name), 0});
    }
    return out;
}

void add_touches(States& states, const std::string& cylinder, const Touches& touches, const OrderKey& of,
                 const NameOfRow& name) {
    for (const auto& [touch, row] : touches)
        if (touch.order.book != of.book && touch.order < of && of.at - touch.order.at <= touch_reach) {
            auto& added = states.touched[cylinder].emplace_back(touch);
            if (row != 0) added.event = name(row);
        }
}

void keep_touch(Touches& touches, KeptTouch touch) {
    while (!touches.empty() && touch.touch.order.at - touches.front().touch.order.at > touch_reach) touches.pop_front();
    touches.push_back(std::move(touch));
}

std::optional<Fork> fork_at(Book::Impl& book, const Event& event) {
    const auto begin = book.branch_begins.find(origin_of(event.order()));
    if (begin == book.branch_begins.end() || begin->second.seq != event.seq) return std::nullopt;
    const auto& origin = book.origins.at(begin->first);
    const auto other = book.origins.find(origin.parent != 0 ? origin.parent : origin_id(origin.book));
    // what it left does not count beyond that place: it was dropped, or nobody trusts it
    if (other == book.origins.end() ||
        (other->second.counted_to <= origin.parent_seq && !book.is_own(other->first, origin.parent_seq + 1)))
        return std::nullopt;
    Fork fork{origin.book, origin.parent_seq, begin->second.digest, {}};
    if (origin.parent != 0) {
        auto& s = bound(book.db.statement("SELECT digest FROM event WHERE origin = ? AND seq = ?"), origin.parent,
                        origin.parent_seq + 1);
        if (s.executeStep()) fork.other = bytes_of<32>(s.getColumn(0));
        s.reset();
    }
    // the own chain is what the book itself goes on with: only the other one can be dropped
    if (book.is_own(begin->first, event.seq) && fork.other != Digest{}) std::swap(fork.first, fork.other);
    if (origin.book == book.info.id) fork.other = {};
    return fork;
}

}  // namespace tarebook
