#include "event_rows.hpp"

#include <algorithm>

#include "report/money_field.hpp"
#include "report/shared_text.hpp"

namespace tarebook::analysis {

ReadEvent EventReading::read(const BookedEvent& e) {
    ReadEvent out;
    out.row = rows_.read(e.stored.body);
    if (out.row.kind.empty()) tarebook::read(e.stored);  // says which event is damaged
    postings_.clear();
    for (const auto& p : e.postings) postings_.push_back({p.account, p.lot, p.mass});
    const YearEvent event{e.stored.body, e.order, e.day, e.kind, postings_, 0};
    out.words = words_.read(event);
    out.movements = &movements_.of(event, out.words);
    return out;
}

bool has_manifest(std::string_view kind) {
    return kind == kinds::Return::name || kind == kinds::Destroy::name;
}

EventRows::EventRows(const Book& book, AnalystsDb& file)
    : book_(book),
      file_(file),
      events_(
          file, "base_event",
          {"id",           "book",        "own",        "seq",    "at",     "recorded", "date",     "time",
           "zone",         "kind",        "technician", "job",    "scale",  "circuit",  "cylinder", "other_cylinder",
           "party",        "refrigerant", "condition",  "reason", "before", "after",    "net",      "gross",
           "other_before", "other_after", "note",       "own_id", "anyway", "digest"},
          1, 1),
      movements_(file, "base_movement",
                 {"event", "n", "term", "basis", "refrigerant", "owner", "condition", "place", "site_owner", "stock",
                  "equipment"},
                 1, 2),
      manifests_(file, "base_manifest", {"event", "manifest"}, 1, 1),
      findings_(file, "base_finding",
                {"event", "n", "name", "subject", "severity", "text", "seen", "expected", "accepted", "resolved_by"}, 1,
                2),
      settlements_(file, "base_settlement",
                   {"event", "returned", "statement_date", "facility", "cylinder", "refrigerant", "purity", "lab",
                    "outcome", "credit", "currency", "credit_words"},
                   1, 1),
      settlement_lots_(
          file, "base_settlement_lot",
          {"event", "n", "refrigerant", "owner", "condition", "sent", "stated", "not_refrigerant", "difference"}, 1,
          2) {
    for (auto s = file.db.ask("SELECT id, book FROM base_book"); s.next();)
        if (const auto id = book_id_from_hex(s.text(1))) books_.emplace(*id, s.integer(0));
    for (const auto& s : book.statements()) return_of_.emplace(s.event_id, s.returned_id);
}

std::int64_t EventRows::number_of(const BookId& book) {
    const auto [it, is_new] = books_.emplace(book, static_cast<std::int64_t>(books_.size()) + 1);
    if (is_new) file_.db.run("INSERT INTO base_book(id, book) VALUES (?, ?)", it->second, hex(book));
    return it->second;
}

void EventRows::write(const BookedEvent& e, const ReadEvent& read) {
    const auto& r = read.row;
    const auto id = e.stored.id;
    const std::string_view time(r.time);
    events_.begin(id);
    events_.row(id, number_of(e.order.book), e.stored.own, r.seq, e.order.at.time_since_epoch().count(),
                r.recorded.time_since_epoch().count(), r.date, time, r.zone, r.kind, r.by, r.job, r.scale, r.circuit,
                r.cylinder, r.other_cylinder, r.party, r.refrigerant, r.condition, r.reason, r.before, r.after, r.net,
                r.gross, r.other_before, r.other_after, r.note, r.own_id, r.anyway, Bytes{e.stored.digest});
    events_.end();

    movements_.begin(id);
    std::int64_t n = 0;
    for (const auto& m : *read.movements)
        movements_.row(id, ++n, text_of(m.term), text_of(m.basis), m.refrigerant,
                       report::told_owner(m.refrigerant, m.owner), m.condition, m.place, m.site_owner, m.stock,
                       m.equipment);
    movements_.end();

    if (has_manifest(e.kind)) {
        const auto event = tarebook::read(e.stored).event;
        std::optional<std::string> manifest;
        if (const auto* k = std::get_if<kinds::Return>(&event.what)) manifest = k->manifest;
        if (const auto* k = std::get_if<kinds::Destroy>(&event.what)) manifest = k->manifest;
        manifests_.begin(id);
        if (manifest) manifests_.row(id, *manifest);
        manifests_.end();
    }
    if (e.kind == kinds::Settle::name) write_statement(e);
}

void EventRows::write_statement(const BookedEvent& e) {
    const auto id = e.stored.id;
    settlements_.begin(id);
    settlement_lots_.begin(id);
    if (const auto returned = return_of_.find(id); returned != return_of_.end() && !e.voided_by) {
        const auto event = tarebook::read(e.stored).event;
        const auto& said = std::get<kinds::Settle>(event.what);
        std::string facility;
        std::map<LotKey, MassTotal> sums;
        for (const auto& p : book_.postings(returned->second)) {
            if (p.account.kind != AccountKind::reclaimer) continue;
            facility = p.account.code;
            sums[p.lot] += p.mass;
        }
        Lots sent;
        for (const auto& [key, sum] : sums)
            if (!sum.is_zero()) sent.push_back({key, sum.value()});
        const auto split = settlement_of(said, sent);
        const auto credit = report::amount_field(said.credit_amount).csv();
        const auto number = [](const std::string& text) {
            return text.empty() ? std::nullopt : std::optional(std::stod(text));
        };
        settlements_.row(id, returned->second, said.dated, facility, said.cylinder, said.gas,
                         number(said.purity.value_or("")), said.lab, said.outcome, number(credit),
                         report::currency_field(said.credit_amount).csv(), said.credit);
        struct Parts {
            Mass sent, stated, not_refrigerant, difference;
        };
        std::map<LotKey, Parts> lots;
        for (const auto& lot : split.sent) lots[lot.key].sent += lot.mass;
        for (const auto& lot : split.stated) lots[lot.key].stated += lot.mass;
        for (const auto& lot : split.contaminants) lots[lot.key].not_refrigerant += lot.mass;
        for (const auto& lot : split.rest) lots[lot.key].difference += lot.mass;
        std::int64_t n = 0;
        for (const auto& [key, lot] : lots)
            settlement_lots_.row(id, ++n, key.refrigerant, report::told_owner(key.refrigerant, key.owner),
                                 text_of(key.condition), lot.sent, lot.stated, lot.not_refrigerant, lot.difference);
    }
    settlements_.end();
    settlement_lots_.end();
}

void EventRows::write_findings(std::int64_t event_id, const std::vector<KnownException>& findings) {
    findings_.begin(event_id);
    std::int64_t n = 0;
    for (const auto& x : findings) {
        const auto& f = x.finding;
        std::optional<std::string> resolved;
        if (x.resolved_by)
            resolved.emplace(reinterpret_cast<const char*>(x.resolved_by->data()), x.resolved_by->size());
        findings_.row(event_id, ++n, f.check, f.subject, text_of(f.severity), f.text, f.seen, f.expected, f.accepted,
                      resolved ? value_of(Bytes{*resolved}) : SqlValue{});
    }
    findings_.end();
}

void EventRows::remove(std::int64_t event_id) {
    for (auto* table : {&events_, &movements_, &manifests_, &findings_, &settlements_, &settlement_lots_}) {
        table->begin(event_id);
        table->end();
    }
}

void EventRows::finish() {
    for (auto* table : {&events_, &movements_, &manifests_, &findings_, &settlements_, &settlement_lots_})
        table->finish();
}

}  // namespace tarebook::analysis
