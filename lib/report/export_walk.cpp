#include "export_walk.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "export_schema.hpp"
#include "shared_text.hpp"
#include "tarebook/report/practice.hpp"
#include "units/hex.hpp"

namespace tarebook::report {

EventRef ref_of(std::string_view bytes) {
    EventRef out = 0;
    for (std::size_t i = 0; i < 8 && i < bytes.size(); ++i) out = out << 8U | static_cast<unsigned char>(bytes[i]);
    return out;
}
EventRef ref_of(const Digest& digest) {
    return ref_of(std::string_view(reinterpret_cast<const char*>(digest.data()), digest.size()));
}
std::string_view RefText::of(EventRef ref) {
    for (std::size_t i = text_.size() - 1; i >= 2; --i, ref >>= 4U) text_[i] = hex_digits[ref & 15U];
    return {text_.data(), text_.size()};
}
std::string text_of_ref(EventRef ref) {
    RefText text;
    return std::string(text.of(ref));
}
std::string balance_key(const StockKey& key) {
    return fmt::format("stock/{}/{}", key.refrigerant, key.owner);
}
std::string balance_key(const EquipmentKey& key) {
    return fmt::format("equipment/{}/{}/{}", key.refrigerant, key.owner, key.appliance);
}

namespace {}  // namespace

ExportWalk::ExportWalk(const Book& book, const YearScope& scope, std::chrono::year year, const ExportFolder& folder)
    : book_(book),
      scope_(scope),
      sums_(year, book.entries()),
      owners_(book.entries()),
      seal_(book, year, book.events_of_kind(kinds::Seal::name)),
      reclaim_(book, year),
      stock_(scope_, sums_.first_day(), sums_.last_day()),
      equipment_(book, scope, EquipmentMovements::Named::by_digest),
      events_file_(folder.file("events.csv"), export_table_named("events").fields, practice_cell(book.info())),
      movements_file_(folder.file("movements.csv"), export_table_named("movements").fields,
                      practice_cell(book.info())) {
    for (const auto& leak : book.leaks()) appliance_of_leak_.emplace(leak.code, leak.appliance);
    if (scope.all()) return;
    // A look beforehand: technicians who worked here may be named, the others not.
    std::set<std::string> technicians;
    ReclaimWatch reclaim(book, year);
    book.each_booked([&](const BookedEvent& e) {
        reclaim.see(e);
        if (e.day < sums_.first_day() || e.day > sums_.last_day()) return;
        const auto row = reader_.read(e.stored.body);
        if (!row.by.empty() && concerns(e, row, reclaim)) technicians.emplace(row.by);
    });
    shown_digests_.clear();
    withholder_ = Redactor(book, scope, technicians);
}

std::string_view ExportWalk::scope_owner(const OrderKey& when) {
    return scope_.owner ? std::string_view(*scope_.owner) : owners_.owner_of(*scope_.site, when);
}

bool ExportWalk::concerns(const BookedEvent& e, const EventRow& row, const ReclaimWatch& reclaim) {
    if (scope_.all()) return true;
    const auto shows = [&](std::string_view place) {
        return scope_.shows_place(place, owners_.owner_of(place, e.order));
    };
    const bool by_posting = std::any_of(e.postings.begin(), e.postings.end(), [&](const BookedPosting& p) {
        return p.account->kind == AccountKind::circuit ? shows(p.account->code) : scope_.shows_stock_of(p.lot->owner);
    });
    bool out = by_posting || (!row.circuit.empty() && shows(row.circuit));
    // A statement that says what the book said moves nothing.
    if (const auto* said = reclaim.just_seen(e); said && !out)
        out = std::any_of(said->lots.begin(), said->lots.end(),
                          [&](const StatedLot& l) { return scope_.shows_stock_of(l.lot.owner); });
    if (!out && (e.kind == kinds::Repair::name || e.kind == kinds::LeakTest::name)) {
        if (const auto it = appliance_of_leak_.find(book_.leak_named_in(read(e.stored).event));
            it != appliance_of_leak_.end())
            out = shows(it->second);
    } else if (!out && e.kind == kinds::Void::name) {
        if (const auto event = event_from_body(e.stored.body))
            if (const auto* k = std::get_if<kinds::Void>(&event->what)) out = shown_digests_.contains(k->target);
    }
    if (out) shown_digests_.insert(hex(e.stored.whole_digest()));
    return out;
}

bool ExportWalk::touches_others(const BookedEvent& e, const EventRow& row) {
    if (scope_.all()) return false;
    const auto owner = scope_owner(e.order);
    const auto other = [&](std::string_view whose) {
        return whose != owner && whose != shop_owner && whose != owner_unassigned;
    };
    if (std::any_of(e.postings.begin(), e.postings.end(), [&](const BookedPosting& p) {
            return other(p.lot->owner) ||
                   (p.account->kind == AccountKind::circuit &&
                    !scope_.shows_place(p.account->code, owners_.owner_of(p.account->code, e.order)));
        }))
        return true;
    if (const auto* said = reclaim_.just_seen(e))
        if (std::any_of(said->lots.begin(), said->lots.end(), [&](const StatedLot& l) { return other(l.lot.owner); }))
            return true;
    return (!row.cylinder.empty() && sums_.holds_gas_of_others(row.cylinder, owner)) ||
           (!row.other_cylinder.empty() && sums_.holds_gas_of_others(row.other_cylinder, owner));
}

void ExportWalk::run(const std::function<void(double)>& progress) {
    const auto all = static_cast<double>(std::max<std::int64_t>(book_.head().seq, 1));
    std::int64_t n = 0;
    book_.each_booked([&](const BookedEvent& e) {
        take(e);
        if (progress && ++n % 4096 == 0) progress(std::min(static_cast<double>(n) / all, 1.0));
    });
    files_.push_back(events_file_.close());
    files_.push_back(movements_file_.close());
}

void ExportWalk::take(const BookedEvent& e) {
    // what a book says of other books is no part of the year: two offices with the same events export the same
    if (is_about_books(e.kind) && e.kind != kinds::Seal::name) return;
    seal_.see(e);
    reclaim_.see(e);
    auto& head = heads_[e.order.book];
    if (head.seq < e.order.seq) {
        head.seq = e.order.seq;
        head.digest = e.stored.whole_digest();
    }
    const auto ref = ref_of(e.stored.digest);
    if (e.kind == kinds::Entry::name || e.kind == kinds::Convert::name || e.kind == kinds::Requalify::name)
        register_.emplace(e.order, ref);
    postings_.clear();
    for (const auto& p : e.postings) postings_.push_back({p.account, p.lot, p.mass});
    const YearEvent event{e.stored.body, e.order, e.day, e.kind, postings_, ref};
    if (e.day < sums_.first_day() || e.day > sums_.last_day()) {
        const auto& moved = sums_.take(event);
        stock_.see(e.day, moved);
        if (move_equipment(moved)) equipment_.take(e, moved, reader_.read(e.stored.body).job);
        return;
    }
    const auto row = reader_.read(e.stored.body);
    if (row.kind.empty()) read(e.stored);  // says which event is damaged
    const bool others_before = touches_others(e, row);
    const auto& movements = sums_.take(event);
    stock_.see(e.day, movements);
    equipment_.take(e, movements, row.job);
    const bool shown = concerns(e, row, reclaim_);
    if (!shown) return;
    if (!scope_.all()) shown_.insert(e.stored.id);
    write_movements(movements, ref);
    write_event(e, row, ref, others_before || touches_others(e, row));
    if (!row.by.empty()) ++technicians_[std::string(row.by)];
    for (const auto code : {row.cylinder, row.other_cylinder})
        if (!code.empty() && !cylinders_.contains(code)) cylinders_.emplace(std::string(code), true);

    int n = 0;
    for (const auto& m : movements) {
        const auto owner = told_owner(m.refrigerant, m.owner);
        if (m.stock && (m.term == Term::returned || m.term == Term::destroyed) && scope_.shows_stock_of(owner)) {
            Shipment s{ref,
                       ++n,
                       e.day,
                       std::string(e.kind),
                       std::string(row.cylinder),
                       std::string(m.place),
                       {},
                       std::string(m.refrigerant),
                       std::string(owner),
                       std::string(m.condition),
                       -*m.stock,
                       m.basis,
                       e.stored.id};
            if (const auto sent = event_from_body(e.stored.body)) {
                if (const auto* k = std::get_if<kinds::Return>(&sent->what)) s.manifest = k->manifest.value_or("");
                if (const auto* k = std::get_if<kinds::Destroy>(&sent->what)) s.manifest = k->manifest.value_or("");
            }
            shipments_.push_back(std::move(s));
        }
        if (m.equipment && m.term == Term::recovered && m.reason == Reason::disposal &&
            scope_.shows_place(m.place, m.site_owner))
            disposed_.push_back({ref, e.order, e.day, std::string(appliance_in(m.place)), std::string(m.refrigerant),
                                 std::string(row.by), -*m.equipment});
    }
    const bool about_leaks = e.kind == kinds::Leak::name || e.kind == kinds::Inspect::name ||
                             e.kind == kinds::Repair::name || e.kind == kinds::LeakTest::name ||
                             e.kind == kinds::Plan::name || e.kind == kinds::Mothball::name ||
                             e.kind == kinds::Extension::name;
    if (about_leaks && !e.voided_by) keep_leak(e, read(e.stored).event, ref);
}

void ExportWalk::write_movements(const std::vector<YearMovement>& movements, EventRef ref) {
    RefText ref_text;
    int n = 0;
    const auto row = [&](const YearMovement& m, std::string_view place, Mass mass) {
        movements_file_.cell(ref_text.of(ref)).count(++n).cell(key_).cell(text_of(m.term)).cell(text_of(m.basis));
        movements_file_.cell(m.condition).cell(place).cell(mass).count(mass.count());
        movements_file_.end_row();
    };
    for (const auto& m : movements) {
        const bool place_shown = !m.equipment || scope_.shows_place(m.place, m.site_owner);
        const auto owner = told_owner(m.refrigerant, m.owner);
        if (m.stock && scope_.shows_stock_of(owner)) {
            key_.assign("stock/").append(m.refrigerant).append("/").append(owner);
            row(m, place_shown ? m.place : std::string_view(), *m.stock);
        }
        if (m.equipment && place_shown) {
            key_.assign("equipment/").append(m.refrigerant).append("/").append(m.site_owner).append("/");
            key_.append(appliance_in(m.place));
            row(m, m.place, *m.equipment);
        }
    }
}

void ExportWalk::write_event(const BookedEvent& e, const EventRow& row, EventRef ref, bool withheld) {
    ++rows_;
    RefText ref_text;
    auto& out = events_file_;
    if (book_id_.empty() || last_book_ != e.order.book) {
        last_book_ = e.order.book;
        book_id_ = hex(last_book_);
    }
    const auto weight = [&](const std::optional<Mass>& mass) { return withheld ? std::optional<Mass>() : mass; };
    const auto words = [&](std::string_view text) {
        return withheld ? std::string_view() : scope_.all() ? text : withholder_.shown(text);
    };
    out.cell(ref_text.of(ref)).cell(book_id_).count(row.seq).cell(row.date).cell(row.time).cell(row.zone);
    out.cell(row.kind).cell(row.by).cell(words(row.job)).cell(row.scale);
    const bool place_shown =
        scope_.all() || row.circuit.empty() || scope_.shows_place(row.circuit, owners_.owner_of(row.circuit, e.order));
    out.cell(place_shown ? row.circuit : std::string_view());
    out.cell(row.cylinder).cell(row.other_cylinder).cell(words(row.party)).cell(row.refrigerant).cell(row.condition);
    out.cell(row.reason).cell(weight(row.before)).cell(weight(row.after)).cell(weight(row.net)).cell(weight(row.gross));
    out.cell(weight(row.other_before)).cell(weight(row.other_after)).cell(words(row.note)).cell(words(row.anyway));
    out.cell(withheld ? "true" : "false");
    out.cell(e.voided_by ? ref_text.of(ref_of(*e.voided_by)) : std::string_view());
    out.hex(e.stored.digest);
    out.end_row();
}

void ExportWalk::keep_leak(const BookedEvent& e, const Event& event, EventRef ref) {
    LeakRow row{ref, e.day, std::string(e.kind), {}, {}, event.by.value_or(""), {}, {}};
    row.appliance = std::string(appliance_named_by(event));
    row.leak = book_.leak_named_in(event);
    if (row.appliance.empty())
        if (const auto it = appliance_of_leak_.find(row.leak); it != appliance_of_leak_.end())
            row.appliance = it->second;
    if (const auto* k = std::get_if<kinds::Leak>(&event.what)) row.what = k->place;
    if (const auto* k = std::get_if<kinds::Inspect>(&event.what)) row.what = k->method, row.result = k->result;
    if (const auto* k = std::get_if<kinds::Repair>(&event.what)) row.what = k->done;
    if (const auto* k = std::get_if<kinds::LeakTest>(&event.what)) row.what = k->stage, row.result = k->result;
    if (const auto* k = std::get_if<kinds::Plan>(&event.what)) row.what = k->plan, row.result = k->by;
    if (const auto* k = std::get_if<kinds::Mothball>(&event.what))
        row.what = k->pressure.value_or(""), row.result = k->ended ? "ended" : "begun";
    if (const auto* k = std::get_if<kinds::Extension>(&event.what))
        row.what = k->of + ", " + k->ground, row.result = k->until.value_or("");
    row.what = std::string(withholder_.shown(row.what));
    leaks_.push_back(std::move(row));
}

std::string ExportWalk::ref_at(const OrderKey& order) const {
    const auto it = register_.find(order);
    return it == register_.end() ? std::string() : text_of_ref(it->second);
}

std::set<std::string> ExportWalk::cylinders() const {
    std::set<std::string> out;
    for (const auto& [code, seen] : cylinders_) out.insert(code);
    return out;
}

}  // namespace tarebook::report
