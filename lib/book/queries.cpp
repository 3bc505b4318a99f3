// Questions asked of the book. Reading never writes.
#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <limits>
#include <set>

#include "impl.hpp"
#include "own_end.hpp"
#include "units/hex.hpp"
#include "voided_entries.hpp"

namespace tarebook {
namespace {

constexpr const char* exact_or_below = "(a.code = ?1 OR substr(a.code, 1, length(?1) + 1) = ?1 || '/' OR ?1 = '')";

constexpr std::string_view flow_columns = "a.code, e.id, e.kind, e.job, e.day, l.refrigerant, sum(p.mass)";
constexpr std::string_view flow_order =
    "GROUP BY e.at, e.origin, e.seq, e.id, a.code, l.refrigerant ORDER BY e.at, e.origin, e.seq, a.code, "
    "l.refrigerant";

std::vector<Flow> flows_from(Answer s) {
    std::vector<Flow> out;
    while (s.next()) {
        Flow f;
        f.circuit = s.text(0);
        f.event_id = s.integer(1);
        f.kind = s.text(2);
        if (!s.is_null(3)) f.job = s.text(3);
        f.date = Date(std::chrono::days(s.integer(4)));
        f.refrigerant = s.text(5);
        f.mass = Mass::from_count(s.integer(6));
        out.push_back(std::move(f));
    }
    return out;
}

std::int64_t days_of(Date date) {
    return static_cast<std::int64_t>(date.time_since_epoch().count());
}

StorageError damaged_row(std::int64_t id) {
    return StorageError(fmt::format("event row {} is damaged", id), "run: tarebook check");
}

Step step_from(Book::Impl& impl, const Answer& s) {
    Step step;
    step.event_id = s.integer(0);
    step.order = impl.key(s.integer(1), s.integer(2), s.integer(3));
    step.moved = Mass::from_count(s.integer(4));
    step.gap = Mass::from_count(s.integer(5));
    step.after = unpacked(s.bytes(6));
    return step;
}

}  // namespace

std::int64_t Book::Impl::account_id(const Account& account, bool make) {
    auto& codes = account_ids[static_cast<std::size_t>(account.kind)];
    if (const auto known = codes.find(account.code); known != codes.end()) return known->second;
    const auto there = [&] {
        return db.integer("SELECT id FROM account WHERE kind = ? AND code = ?", text_of(account.kind), account.code);
    };
    std::int64_t id = there().value_or(0);
    if (id == 0 && make) {
        // On a server another desk may be making it: then this waits, and takes what the other one made.
        const auto made =
            db.integer("INSERT INTO account(kind, code) VALUES (?, ?) ON CONFLICT DO NOTHING RETURNING id",
                       text_of(account.kind), account.code);
        id = made ? *made : there().value();
    }
    if (id != 0) codes[account.code] = id;
    return id;
}

std::int64_t Book::Impl::lot_id(const LotKey& lot) {
    if (const auto known = lot_ids.find(lot); known != lot_ids.end()) return known->second;
    const auto there = [&] {
        return db.integer("SELECT id FROM lot WHERE refrigerant = ? AND owner = ? AND condition = ?", lot.refrigerant,
                          lot.owner, text_of(lot.condition));
    };
    std::int64_t id = there().value_or(0);
    if (id == 0) {
        const auto made = db.integer(
            "INSERT INTO lot(refrigerant, owner, condition) VALUES (?, ?, ?) ON CONFLICT DO NOTHING RETURNING id",
            lot.refrigerant, lot.owner, text_of(lot.condition));
        id = made ? *made : there().value();
    }
    lot_ids[lot] = id;
    return id;
}

std::vector<StoredEvent> Book::Impl::load_all(const std::vector<std::int64_t>& ids) {
    std::vector<StoredEvent> out;
    out.reserve(ids.size());
    for (const auto id : ids) out.push_back(load(id));
    return out;
}

StoredEvent Book::Impl::load(std::int64_t id) {
    auto s = db.ask(
        "SELECT e.body, e.digest, e.origin, u.by, v.origin, v.seq, v.digest FROM event e LEFT JOIN "
        "ineffective u ON u.event = e.id LEFT JOIN event v ON v.id = u.by WHERE e.id = ?",
        id);
    if (!s.next()) throw StorageError(fmt::format("the book has no event row {}", id), "run: tarebook check");
    const auto body = s.text(0);
    StoredEvent stored;
    stored.id = id;
    stored.digest = s.digest(1);
    const auto origin = s.integer(2);
    if (!s.is_null(4))
        stored.voided_by = name_of(s.integer(4), s.integer(5), s.digest(6));
    else
        stored.quarantined = !s.is_null(3);
    auto event = event_from_body(body);
    if (!event)
        throw StorageError(fmt::format("event row {} is damaged: {}", id, event.error().seen), "run: tarebook check");
    stored.event = std::move(*event);
    stored.event.branch = known_origin(origin).branch;
    stored.name = name_of(origin, stored.event.seq, stored.digest);
    return stored;
}

std::unordered_set<std::int64_t> Book::Impl::quarantined_rows() {
    std::unordered_set<std::int64_t> out;
    for (auto s = db.ask("SELECT event FROM ineffective WHERE by = 0"); s.next();) out.insert(s.integer(0));
    return out;
}

Head Book::head() const {
    return guarded(*impl_, [&] { return own_end(*impl_); });
}

Head Book::head_of(const Event& event) const {
    return guarded(*impl_, [&] { return branch_end(*impl_, origin_of(event.order())); });
}

std::int64_t Book::event_count() const {
    return guarded(*impl_, [&] { return impl_->db.integer("SELECT count(*) FROM event").value_or(0); });
}

std::optional<StoredEvent> Book::newest_event() const {
    std::optional<StoredEvent> out;
    for (const auto row : last_rows())
        if (auto stored = event(row); stored && (!out || out->event.recorded < stored->event.recorded))
            out = std::move(stored);
    return out;
}

void Book::each_event_back(Instant until, std::size_t most, std::string_view kind,
                           const ForEach<const StoredEvent&>& visit) const {
    guarded(*impl_, [&] {
        const auto rows = impl_->db.integers(
            "SELECT id FROM (SELECT id, kind, at, origin, seq FROM event WHERE at <= ?1 ORDER BY at DESC, origin "
            "DESC, seq DESC LIMIT ?2) AS latest WHERE ?3 = '' OR kind = ?3 ORDER BY at DESC, origin DESC, seq DESC",
            seconds_of(until), static_cast<std::int64_t>(most), kind);
        for (const auto row : rows)
            if (visit(impl_->load(row)) == Walk::stop) return;
    });
}

std::vector<std::string> Book::codes(EntryKind kind) const {
    return guarded(*impl_, [&] {
        auto s = impl_->db.ask("SELECT code FROM entry WHERE kind = ?", text_of(kind));
        std::vector<std::string> out;
        while (s.next()) out.push_back(s.text(0));
        std::sort(out.begin(), out.end(), CodeOrder());
        return out;
    });
}

std::int64_t Book::Impl::row_of(const EventHandle& handle) {
    if (const auto* id = std::get_if<std::int64_t>(&handle.name())) return *id;
    const auto with_digest = [&](std::string_view digits) {
        const auto rows = rows_with_digest(digits);
        return rows.size() == 1 ? rows.front() : 0;  // two digests that begin so: the name is not unique
    };
    if (const auto* digest = std::get_if<Digest>(&handle.name())) return with_digest(hex(*digest));
    const std::string_view name = std::get<std::string>(handle.name());
    auto digits = name;
    if (digits.starts_with('E') || digits.starts_with('e')) digits.remove_prefix(1);
    if (const auto id = row_called("E" + std::string(digits), own_origin)) return id;
    return name.size() >= 8 && is_hex(name) ? with_digest(name) : 0;
}

std::optional<std::int64_t> Book::id_of(const EventHandle& handle) const {
    return guarded(*impl_, [&]() -> std::optional<std::int64_t> {
        const auto id = impl_->row_of(handle);
        if (!impl_->db.any("SELECT 1 FROM event WHERE id = ?", id)) return std::nullopt;
        return id;
    });
}

std::optional<StoredEvent> Book::event(const EventHandle& handle) const {
    const auto id = id_of(handle);
    if (!id) return std::nullopt;
    return guarded(*impl_, [&] { return std::optional(impl_->load(*id)); });
}

std::optional<StoredEvent> Book::event_named(std::string_view name) const {
    auto stored = event(std::string(name));
    if (stored) impl_->seen_digests[hex(stored->digest)] = stored->id;
    return stored;
}

bool Book::has_own_ids() const {
    return guarded(*impl_, [&] { return impl_->db.any("SELECT 1 FROM event WHERE own_id IS NOT NULL LIMIT 1"); });
}

std::vector<StoredEvent> Book::events_of_job(std::string_view job) const {
    return guarded(*impl_, [&] {
        return impl_->load_all(impl_->db.integers("SELECT id FROM event WHERE job = ? ORDER BY at, origin, seq", job));
    });
}

std::vector<Book::KnownJob> Book::jobs(std::size_t most) const {
    return guarded(*impl_, [&] {
        // from the newest event back, because a book may have a job for each few of its events
        auto s = impl_->db.ask("SELECT job, at FROM event ORDER BY at DESC, origin DESC, seq DESC");
        std::vector<KnownJob> out;
        std::set<std::string, std::less<>> seen;
        while (out.size() < most && s.next())
            if (!s.is_null(0) && !seen.contains(s.bytes(0)))
                out.push_back({*seen.emplace(s.text(0)).first, Instant(std::chrono::seconds(s.integer(1)))});
        return out;
    });
}

std::optional<StoredEvent> Book::event_with_own_id(std::string_view own_id) const {
    return guarded(*impl_, [&]() -> std::optional<StoredEvent> {
        // The desks of a book are one book in this: the same sheet may be given at two of them.
        const auto id = impl_->db.on_server()
                            ? impl_->db.integer(
                                  "SELECT id FROM event WHERE own_id = ?1 AND (origin = ?2 OR origin IN (SELECT o.id "
                                  "FROM origin o JOIN desk d ON d.book = o.book)) LIMIT 1",
                                  std::string(own_id), impl_->own_origin)
                            : impl_->db.integer("SELECT id FROM event WHERE origin = ? AND own_id = ?",
                                                impl_->own_origin, std::string(own_id));
        if (!id) return std::nullopt;
        return impl_->load(*id);
    });
}

void Book::each_body(const ForEach<const StoredBody&>& visit) const {
    guarded(*impl_, [&] {
        std::map<std::int64_t, std::string> voided;  // by the name of the void
        for (auto s = impl_->db.ask(
                 "SELECT u.event, v.origin, v.seq, v.digest FROM ineffective u JOIN event v ON v.id = u.by");
             s.next();) {
            voided.emplace(s.integer(0), impl_->name_of(s.integer(1), s.integer(2), digest_from(s.bytes(3))));
        }
        const auto kept_out = impl_->quarantined_rows();
        // Rows are nearly in this order, and a page holds several: few pages are enough, and stay in the processor's
        // cache.
        impl_->db.give_cache(1'024);
        auto s = impl_->db.walk("SELECT id, digest, body, origin FROM event ORDER BY at, origin, seq");
        while (s.next()) {
            const auto origin = impl_->origins.find(s.integer(3));
            StoredBody stored{s.integer(0), s.bytes(1), s.bytes(2), {}, s.integer(3) == impl_->own_origin};
            if (origin != impl_->origins.end()) stored.branch = origin->second.branch;
            if (!kept_out.empty() && kept_out.contains(stored.id)) continue;
            if (stored.digest.size() != std::tuple_size_v<Digest>) throw damaged_row(stored.id);
            if (const auto v = voided.find(stored.id); v != voided.end()) stored.voided_by = v->second;
            if (visit(stored) == Walk::stop) return;
        }
    });
}

StoredEvent read(const StoredBody& stored) {
    auto event = event_from_body(stored.body);
    if (!event) throw damaged_row(stored.id);
    event->branch = stored.branch;
    StoredEvent out{stored.id, std::move(*event), stored.whole_digest(), stored.voided_by, {}, false};
    out.name = stored.own ? event_name(out.event.seq) : hex(out.digest).substr(0, 12);
    return out;
}

void Book::each_event(const ForEach<const StoredEvent&>& visit) const {
    each_body([&](const StoredBody& stored) { return visit(read(stored)); });
}

std::vector<Step> Book::steps(std::string_view cylinder) const {
    return last_steps(cylinder, std::numeric_limits<std::int64_t>::max());
}

std::vector<Step> Book::last_steps(std::string_view cylinder, std::int64_t most) const {
    return guarded(*impl_, [&] {
        auto s = impl_->db.ask(
            "SELECT event, at, origin, seq, moved, gap, state FROM step WHERE cylinder = (SELECT id FROM "
            "account WHERE kind = 'cylinder' AND code = ?) ORDER BY at DESC, origin DESC, seq DESC LIMIT ?",
            cylinder, most);
        std::vector<Step> out;
        while (s.next()) out.push_back(step_from(*impl_, s));
        std::reverse(out.begin(), out.end());
        return out;
    });
}

std::vector<Step> Book::steps_before(std::string_view cylinder, const OrderKey& order, std::int64_t most) const {
    return guarded(*impl_, [&] {
        auto s = impl_->db.ask(
            "SELECT event, at, origin, seq, moved, gap, state FROM step WHERE cylinder = (SELECT id FROM "
            "account WHERE kind = 'cylinder' AND code = ?) AND (at, origin, seq) < (?, ?, ?) ORDER BY at "
            "DESC, origin DESC, seq DESC LIMIT ?",
            cylinder, seconds_of(order.at), origin_of(order), order.seq, most);
        std::vector<Step> out;
        while (s.next()) out.push_back(step_from(*impl_, s));
        std::reverse(out.begin(), out.end());
        return out;
    });
}

std::int64_t Book::step_count(std::string_view cylinder) const {
    return guarded(*impl_, [&] {
        return impl_->db
            .integer(
                "SELECT count(*) FROM step WHERE cylinder = (SELECT id FROM account WHERE "
                "kind = 'cylinder' AND code = ?)",
                cylinder)
            .value_or(0);
    });
}

std::optional<Step> Book::last_step(std::string_view cylinder) const {
    auto steps = last_steps(cylinder, 1);
    if (steps.empty()) return std::nullopt;
    return std::move(steps.front());
}

CylinderState Book::state(std::string_view cylinder) const {
    return guarded(*impl_, [&] {
        auto s = impl_->db.ask(
            "SELECT state FROM current_state WHERE cylinder = (SELECT id FROM account WHERE "
            "kind = 'cylinder' AND code = ?)",
            cylinder);
        CylinderState state;
        if (s.next()) {
            state = unpacked(s.bytes(0));
        }
        return state;
    });
}

std::optional<CylinderNow> Book::cylinder_now(std::string_view code) const {
    return guarded(*impl_, [&]() -> std::optional<CylinderNow> {
        CylinderNow now;
        now.code = std::string(code);
        const auto* facts = cylinder_facts(impl_->reg, code, {Instant::max(), {}, 0});
        if (facts) now.facts = *facts;
        now.state = state(code);
        if (!facts && step_count(code) == 0) return std::nullopt;
        Unregistered(*impl_).takes(now, facts != nullptr);
        return now;
    });
}

void Book::each_cylinder(const ForEach<CylinderNow&&>& visit) const {
    guarded(*impl_, [&] {
        // Two walks side by side in the order of the codes. Precondition: the last value of a field comes last.
        auto states = impl_->db.walk(
            "SELECT e.id, e.code, s.state FROM entry e LEFT JOIN account a ON a.kind = 'cylinder' AND a.code = "
            "e.code LEFT JOIN current_state s ON s.cylinder = a.id WHERE e.kind = 'cylinder' ORDER BY e.code");
        auto fields = impl_->db.walk(
            "SELECT e.id, f.name, f.value, f.mass FROM entry e CROSS JOIN field f ON f.entry = e.id WHERE "
            "e.kind = 'cylinder' ORDER BY e.code, f.name, f.at, f.origin, f.seq");
        Unregistered unregistered(*impl_);
        std::int64_t states_seen = 0;
        bool more = fields.next();
        while (states.next()) {
            const auto entry = states.integer(0);
            if (!more || fields.integer(0) != entry) continue;  // the register has nothing about it
            CylinderNow now;
            now.code = states.bytes(1);
            for (; more && fields.integer(0) == entry; more = fields.next())
                now.facts.take(fields.bytes(1), fields.bytes(2),
                               fields.is_null(3) ? std::nullopt : std::optional(Mass::from_count(fields.integer(3))));
            if (!states.is_null(2)) now.state = unpacked(states.bytes(2)), ++states_seen;
            unregistered.takes(now, true);
            if (visit(std::move(now)) == Walk::stop) return;
        }
        if (impl_->db.integer("SELECT count(*) FROM current_state").value_or(0) == states_seen) return;
        for (auto s = impl_->db.ask(
                 "SELECT a.code, s.state FROM current_state s JOIN account a ON a.id = s.cylinder WHERE NOT EXISTS "
                 "(SELECT "
                 "1 FROM entry e JOIN field f ON f.entry = e.id WHERE e.kind = 'cylinder' AND e.code = a.code) ORDER "
                 "BY a.code");
             s.next();) {
            CylinderNow now;
            now.code = s.bytes(0);
            now.state = unpacked(s.bytes(1));
            if (!unregistered.takes(now, false) || !unregistered.holds_gas(now)) continue;
            if (visit(std::move(now)) == Walk::stop) return;
        }
    });
}

std::vector<Flow> Book::flows(std::string_view prefix, Date from, Date to) const {
    return guarded(*impl_, [&] {
        static const std::string sql = fmt::format(
            "SELECT {} FROM account a JOIN posting p ON p.account = a.id AND p.circuit_day BETWEEN ?2 AND ?3 JOIN "
            "event e ON e.id = p.event JOIN lot l ON l.id = p.lot WHERE a.kind = 'circuit' AND a.code >= ?1 AND "
            "a.code < "
            "?4 AND {} {}",
            flow_columns, exact_or_below, flow_order);
        // '0' sorts after '/': all codes below the prefix sort before it.
        const auto end = prefix.empty() ? std::string("\U0010FFFF") : std::string(prefix) + '0';
        return flows_from(impl_->db.ask(sql.c_str(), prefix, days_of(from), days_of(to), end));
    });
}

std::optional<Date> Book::last_flow_day(std::string_view prefix) const {
    return guarded(*impl_, [&]() -> std::optional<Date> {
        static const std::string sql = fmt::format(
            "SELECT MAX(day) FROM (SELECT (SELECT MAX(circuit_day) FROM posting WHERE account = a.id AND circuit_day "
            "IS "
            "NOT NULL) AS day FROM account a WHERE a.kind = 'circuit' AND {}) days",
            exact_or_below);
        const auto day = impl_->db.integer(sql.c_str(), prefix);
        return day ? std::optional(Date(std::chrono::days(*day))) : std::nullopt;
    });
}

std::vector<Flow> Book::flows_of_whole_jobs(std::string_view prefix, Date from, Date to) const {
    auto inside = flows(prefix, from, to);
    return guarded(*impl_, [&] {
        std::set<std::string> jobs;
        for (const auto& flow : inside)
            if (flow.job) jobs.insert(*flow.job);
        static const std::string sql = fmt::format(
            "SELECT {} FROM event e CROSS JOIN posting p ON p.event = e.id AND p.circuit_day IS NOT NULL JOIN "
            "account a ON a.id = p.account JOIN lot l ON l.id = p.lot WHERE e.job = ?2 AND e.day < ?3 AND {} {}",
            flow_columns, exact_or_below, flow_order);
        std::vector<Flow> out;
        for (const auto& job : jobs)
            for (auto& flow : flows_from(impl_->db.ask(sql.c_str(), prefix, job, days_of(from))))
                out.push_back(std::move(flow));
        std::stable_sort(out.begin(), out.end(), [](const Flow& a, const Flow& b) { return a.date < b.date; });
        out.insert(out.end(), std::move_iterator(inside.begin()), std::move_iterator(inside.end()));
        return out;
    });
}

std::vector<Posting> Book::postings(const EventHandle& event) const {
    return guarded(*impl_, [&] {
        auto s = impl_->db.ask(
            "SELECT a.kind, a.code, l.refrigerant, l.owner, l.condition, p.mass FROM posting p "
            "JOIN account a ON a.id = p.account JOIN lot l ON l.id = p.lot WHERE p.event = ? "
            "ORDER BY p.n",
            impl_->row_of(event));
        std::vector<Posting> out;
        while (s.next())
            out.push_back({{account_kind_from(s.text(0)).value(), s.text(1)},
                           {s.text(2), s.text(3), condition_from(s.text(4)).value()},
                           Mass::from_count(s.integer(5))});
        return out;
    });
}

std::vector<Balance> Book::balances() const {
    return guarded(*impl_, [&] {
        auto s = impl_->db.ask(
            "SELECT a.kind, a.code, l.refrigerant, l.owner, l.condition, b.mass FROM balance b JOIN account a ON a.id "
            "= "
            "b.account JOIN lot l ON l.id = b.lot WHERE b.mass <> 0 ORDER BY a.kind, a.code, l.refrigerant, l.owner, "
            "l.condition");
        std::vector<Balance> out;
        while (s.next())
            out.push_back({{account_kind_from(s.text(0)).value(), s.text(1)},
                           {s.text(2), s.text(3), condition_from(s.text(4)).value()},
                           Mass::from_count(s.integer(5))});
        return out;
    });
}

}  // namespace tarebook
