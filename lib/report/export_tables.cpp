#include "export_tables.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "money_field.hpp"
#include "shared_text.hpp"
#include "tarebook/report/practice.hpp"
#include "tarebook/rules/requalification.hpp"

namespace tarebook::report {

OutFile ExportTables::begin(std::string_view table) const {
    const auto& t = export_table_named(table);
    return OutFile(folder.file(t.file()), t.fields, practice_cell(book.info()));
}

void ExportTables::write() {
    registers();
    cylinders();
    balances();
    losses();
    additions();
    leaks();
    disposals();
    shipments();
    statements();
    exceptions();
    technicians();
}

std::string ExportTables::events_of(const Entry& entry) const {
    std::set<OrderKey> moments;
    for (const auto& [field, values] : entry.fields())
        for (const auto& value : values)
            if (!(at_end < value.from)) moments.insert(value.from);
    std::vector<std::string> out;
    for (const auto& moment : moments)
        if (auto ref = walk.ref_at(moment); !ref.empty()) out.push_back(std::move(ref));
    return joined(out, " ");
}
std::string ExportTables::site_text(std::string_view site, std::string_view field) const {
    const auto* entry = book.entries().find(EntryKind::site, site);
    return entry ? entry->text(field, at_end).value_or("") : std::string();
}

// Appliances of the scope at the end of the year, and those that gas went into or out of while they were.
void ExportTables::registers() {
    SiteOwners owners(book.entries());
    std::set<std::string> shown;
    for (const auto& [key, line] : view.balance.equipment) shown.insert(key.appliance);
    for (const auto& code : walk.equipment().appliances()) shown.insert(code);
    for (const auto& code : book.codes(EntryKind::appliance))
        if (view.scope.shows_place(code, owners.owner_of(code, at_end))) shown.insert(code);
    std::vector<std::string> circuits;
    for (const auto& code : book.codes(EntryKind::circuit))
        if (view.scope.shows_place(code, owners.owner_of(code, at_end))) {
            circuits.push_back(code);
            shown.insert(appliance_of(code));
        }
    for (const auto& row : walk.leaks()) shown.insert(row.appliance);
    shown.erase("");

    auto out = begin("appliances");
    auto charges = begin("full_charges");
    for (const auto& code : shown) {
        const auto site = site_of(code);
        const auto* entry = book.entries().find(EntryKind::appliance, code);
        const auto text = [&](std::string_view field) {
            return entry ? entry->text(field, at_end).value_or("") : std::string();
        };
        out.cell(code).cell(text("name")).cell(site).cell(site_text(site, "name")).cell(site_text(site, "address"));
        const auto owner = owners.owner_of(code, at_end);
        out.cell(view.scope.shows_place(code, owner) ? owner : std::string_view()).cell(text("category"));
        out.cell(text("refrigerant"))
            .cell(entry ? full_charge(*entry, at_end) : std::nullopt)
            .cell(text("charge_basis"));
        out.cell(text("model")).cell(text("serial")).cell(entry ? events_of(*entry) : std::string());
        out.end_row();
        if (!entry) continue;
        std::set<OrderKey> revisions;
        for (const auto* field : {"full_charge", "full_charge_to", "charge_basis"})
            if (const auto it = entry->fields().find(field); it != entry->fields().end())
                for (const auto& value : it->second)
                    if (!(at_end < value.from)) revisions.insert(value.from);
        for (const auto& when : revisions) {
            const auto day = moment_in_zone(when.at, book.info().zone);
            charges.cell(code).cell(walk.ref_at(when));
            charges.cell(date_text(day ? day->date() : std::chrono::floor<std::chrono::days>(when.at)));
            charges.cell(full_charge(*entry, when)).cell(entry->mass("full_charge", when));
            charges.cell(entry->mass("full_charge_to", when)).cell(entry->text("charge_basis", when).value_or(""));
            charges.end_row();
        }
    }
    files.push_back(out.close());
    files.push_back(charges.close());

    auto list = begin("circuits");
    for (const auto& code : circuits) {
        const auto* entry = book.entries().find(EntryKind::circuit, code);
        list.cell(code).cell(appliance_of(code));
        list.cell(entry ? withholder.shown(entry->text("serves", at_end).value_or("")) : std::string_view());
        list.cell(entry ? events_of(*entry) : std::string());
        list.end_row();
    }
    files.push_back(list.close());
}

void ExportTables::cylinders() {
    const auto& balance = view.balance;
    std::set<std::string> shown = walk.cylinders();
    const auto holds_of_scope = [&](const CylinderLine& line) {
        return std::any_of(line.parts.begin(), line.parts.end(), [&](const CylinderLine::Part& p) {
            return !p.closing.is_zero() && view.scope.shows_stock_of(told_owner(p.lot.refrigerant, p.lot.owner));
        });
    };
    for (const auto& [code, line] : balance.cylinders)
        if (holds_of_scope(line) || view.scope.all()) shown.insert(code);

    auto out = begin("cylinders");
    auto late = begin("cylinders_out_of_test");
    const auto end_day = Date(balance.year / 12 / 31);
    for (const auto& code : shown) {
        const auto* entry = book.entries().find(EntryKind::cylinder, code);
        if (!entry) continue;
        const auto& facts = entry->facts_at(at_end);
        std::optional<std::chrono::year_month> tested;
        if (facts.tested)
            if (const auto month = parse_month(*facts.tested)) tested = *month;
        std::optional<RequalificationDue> due;
        if (facts.spec)
            due = requalification(book.rules().packs_of_country(facts.country.value_or("")), *facts.spec, tested,
                                  facts.test_basis.value_or(""), end_day, facts.refrigerant.value_or(""));
        const auto it = balance.cylinders.find(code);
        Mass contents, counted;
        std::vector<std::string> gas;
        if (it != balance.cylinders.end())
            for (const auto& part : it->second.parts) {
                if (!view.scope.shows_stock_of(told_owner(part.lot.refrigerant, part.lot.owner))) continue;
                contents += part.closing;
                counted += part.counted;
                if (!part.closing.is_zero())
                    gas.push_back(fmt::format("{} of {}, {}", part.lot.refrigerant,
                                              told_owner(part.lot.refrigerant, part.lot.owner),
                                              text_of(part.lot.condition)));
            }
        const bool weighed = it != balance.cylinders.end() && it->second.weighed_on && !view.scope.site;
        out.cell(code).cell(facts.use).cell(facts.spec.value_or("")).cell(facts.serial.value_or(""));
        out.cell(view.scope.all() ? facts.belongs_to.value_or("") : std::string()).cell(facts.tare);
        out.cell(facts.tested.value_or("")).cell(due && due->due_on ? date_text(*due->due_on) : std::string());
        out.cell(view.scope.site ? std::optional<Mass>() : contents);
        out.cell(weighed ? date_text(*it->second.weighed_on) : std::string());
        out.cell(weighed ? std::optional(counted) : std::nullopt).cell(joined(gas, "; "));
        out.cell(weighed ? text_of_ref(it->second.weighing) : std::string());
        out.end_row();

        using Answer = RequalificationDue::Answer;
        const bool out_of_test = due && due->answer == Answer::due && *due->due_on < end_day;
        const bool unknown = !due || due->answer == Answer::read_the_collar || due->answer == Answer::unknown_type;
        if (!out_of_test && !unknown) continue;
        ++figures.out_of_test;
        late.cell(code).cell(facts.spec.value_or("")).cell(facts.tested.value_or(""));
        late.cell(due && due->due_on ? date_text(*due->due_on) : std::string());
        late.cell(!due ? "specification not on record: read the collar" : out_of_test ? "test has run out" : due->why);
        late.cell(due && due->match ? due->match->rule->clause : std::string());
        late.cell(!due || !due->match ? std::string_view() : key_of(due->match->status()));
        late.end_row();
        if (due && due->match) rules.add("cylinders_out_of_test", *due->match);
    }
    files.push_back(out.close());
    files.push_back(late.close());
}

void ExportTables::balances() {
    auto out = begin("balances");
    const auto row = [&](const std::string& key, std::string_view term, std::string_view basis, bool stock,
                         const std::string& gas, const std::string& owner, const std::string& appliance, Mass mass) {
        out.cell(key).cell(term).cell(basis).cell(stock ? "stock" : "equipment").cell(gas).cell(owner).cell(appliance);
        out.cell(mass).count(mass.count());
        out.end_row();
    };
    const auto lines = [&](const std::string& key, bool stock, const std::string& gas, const std::string& owner,
                           const std::string& appliance, const YearLine& line) {
        row(key, "opening", "all", stock, gas, owner, appliance, line.opening());
        for (const auto term : all_terms())
            for (const auto basis : {Basis::weighed, Basis::stated, Basis::estimated})
                if (line.moved(term, basis))
                    row(key, text_of(term), text_of(basis), stock, gas, owner, appliance, line.sum(term, basis));
        row(key, "closing", "all", stock, gas, owner, appliance, line.closing());
    };
    for (const auto& [key, s] : view.balance.stock) {
        const auto name = balance_key(key);
        lines(name, true, key.refrigerant, key.owner, "", s.line);
        row(name, "counted", "all", true, key.refrigerant, key.owner, "", s.counted);
        row(name, "never-counted", "all", true, key.refrigerant, key.owner, "", s.not_counted);
    }
    for (const auto& [key, line] : view.balance.equipment)
        lines(balance_key(key), false, key.refrigerant, key.owner, key.appliance, line);
    files.push_back(out.close());
}

void ExportTables::losses() {
    auto out = begin("losses");
    auto equivalents = begin("loss_equivalents");
    const GwpSets sets(view.catalogue, view.packs);
    for (const auto& line : view.losses) {
        const bool storage = line.site.empty();
        const std::string site = storage ? "storage" : line.site;
        const auto& m = line.loss.material;
        const auto& s = line.loss.simplified;
        const auto of_site = [&](Mass mass) { return storage ? std::nullopt : std::optional(mass); };
        out.cell(line.refrigerant).cell(line.owner).cell(site).cell(m.loss()).cell(of_site(s.loss()));
        for (const Mass mass :
             {m.acquired, m.disbursed, m.stock_at_start, m.stock_at_end, m.full_charge_at_start, m.full_charge_at_end})
            out.cell(std::optional(mass));
        for (const Mass mass : {m.left_out_at_start, m.left_out_at_end, s.charged_into_new, s.full_charge_of_new,
                                s.used_in_service, s.full_charge_of_disposed, s.recovered_from_disposed})
            out.cell(of_site(mass));
        out.end_row();
        for (const auto& set : sets.sets()) {
            const auto gwp = sets.gwp(line.refrigerant, set);
            const auto tonnes = [&](Mass loss) {
                const auto known = sets.tonnes(line.refrigerant, loss, set);
                return known ? fmt::format("{:.6f}", known->value) : std::string();
            };
            equivalents.cell(line.refrigerant).cell(line.owner).cell(site).cell(set.set);
            equivalents.cell(gwp ? fmt::format("{:.4f}", gwp->value) : std::string()).cell(tonnes(m.loss()));
            equivalents.cell(storage ? std::string() : tonnes(s.loss()));
            equivalents.cell(gwp && gwp->at_least ? "true" : "false");
            equivalents.end_row();
        }
    }
    files.push_back(out.close());
    files.push_back(equivalents.close());
    for (const auto* pack : view.packs)
        for (const auto& rule : pack->rules)
            if (std::holds_alternative<terms::GwpSet>(rule.terms))
                rules.add("loss_equivalents", *pack, rule.id, rule.clause, rule.status);
}

void ExportTables::additions() {
    auto out = begin("additions");
    const LeakLog log(book);
    SiteOwners owners(book.entries());
    const auto first = Date(view.balance.year / 1 / 1);
    const auto last = Date(view.balance.year / 12 / 31);
    for (const auto& code : walk.equipment().appliances()) {
        const auto record = leak_record(book, code, walk.equipment().of(code), log);
        for (const auto& a : record.rated) {
            const auto& addition = a.addition;
            if (addition.on < first || addition.on > last || a.event.empty()) continue;
            if (!view.scope.shows_place(code, owners.owner_of(code, order_at(Instant(addition.on))))) continue;
            std::vector<std::string> excluded;
            for (const auto reason : addition.excluded_reasons) excluded.emplace_back(text_of(reason));
            out.cell(a.event).cell(code).cell(date_text(addition.on)).cell(addition.job.value_or(""));
            out.cell(addition.leak).cell(addition.mass).cell(addition.excluded).cell(joined(excluded));
            const auto threshold =
                a.threshold ? std::optional(a.threshold->as<terms::LeakRateThreshold>().threshold) : std::nullopt;
            if (a.rate) {
                out.cell(a.rate->full_charge).count(a.rate->days).cell(text_of(a.rate->method));
                out.cell(fmt::format("{:.6f}", a.rate->rate.in_percent()));
            } else {
                out.cell("").cell("").cell("").cell("");
            }
            out.cell(threshold ? threshold->text() : std::string());
            out.cell(a.rate && threshold ? (a.exceeded ? "true" : "false") : "");
            out.cell(a.threshold ? a.threshold->rule->clause : std::string());
            out.cell(!a.threshold ? std::string_view() : key_of(a.threshold->status()));
            out.cell(a.rate ? formula_text(*a.rate) : std::string()).cell(joined(addition.sources, " "));
            out.end_row();
            ++figures.additions;
            figures.additions_that_count += addition.counts() ? 1 : 0;
            if (a.threshold) rules.add("additions", *a.threshold);
            if (a.regime) rules.add("additions", *a.regime);
            if (!a.exceeded) continue;
            ++figures.additions_over;
            if (figures.over.size() < 500)
                figures.over.push_back({code, date_text(addition.on), mass_cell(addition.mass, book.info().units),
                                        fmt::format("{:.1f} %", a.rate->rate.in_percent()),
                                        threshold_text(*a.threshold), a.event});
        }
    }
    files.push_back(out.close());
}

void ExportTables::leaks() {
    auto out = begin("leaks");
    for (const auto& row : walk.leaks()) {
        out.cell(text_of_ref(row.event)).cell(row.kind).cell(date_text(row.date)).cell(row.appliance).cell(row.leak);
        out.cell(row.by).cell(row.what).cell(row.result);
        out.end_row();
    }
    files.push_back(out.close());
}

void ExportTables::disposals() {
    struct Month {
        std::set<std::string> appliances, events;
        MassTotal recovered;
    };
    std::map<std::pair<std::string, std::string>, Month> months;
    auto out = begin("disposals");
    for (const auto& d : walk.disposed()) {
        const auto* entry = book.entries().find(EntryKind::appliance, d.appliance);
        const auto charge = entry ? full_charge(*entry, d.order) : std::nullopt;
        RuleSubject subject{book.catalogue().find(d.refrigerant), charge, {}};
        if (const auto category = entry ? entry->text("category", d.order) : std::nullopt)
            subject.category = appliance_category_from(*category);
        subject.listed_use = entry && entry->text("listed_use", d.order) == "yes";
        const auto rule = first_matching<terms::DisposalRecord>(view.packs, subject, d.date);
        if (!rule || !charge || exempt_substitute(view.packs, subject, d.date)) continue;
        const auto& size = rule->as<terms::DisposalRecord>();
        if (!(size.over < *charge && *charge < size.below)) continue;
        rules.add("disposals", *rule);
        rules.add("disposals_by_month", *rule);
        const auto month = date_text(d.date).substr(0, 7);
        out.cell(text_of_ref(d.event)).cell(month).cell(date_text(d.date)).cell(d.appliance);
        out.cell(site_text(site_of(d.appliance), "address")).cell(charge).cell(d.refrigerant).cell(d.mass).cell(d.by);
        out.cell(rule->rule->clause).cell(key_of(rule->status()));
        out.end_row();
        auto& m = months[{month, d.refrigerant}];
        m.appliances.insert(d.appliance);
        m.events.insert(text_of_ref(d.event));
        m.recovered += d.mass;
    }
    files.push_back(out.close());
    auto sums = begin("disposals_by_month");
    for (const auto& [key, m] : months) {
        sums.cell(key.first).cell(key.second).count(static_cast<std::int64_t>(m.appliances.size()));
        sums.cell(m.recovered.value()).cell(joined(m.events, " "));
        sums.end_row();
        figures.disposals.push_back({key.first, key.second, count_cell(static_cast<std::int64_t>(m.appliances.size())),
                                     mass_cell(m.recovered.value(), book.info().units)});
    }
    files.push_back(sums.close());
}

void ExportTables::shipments() {
    auto out = begin("shipments");
    for (const auto& s : walk.shipments()) {
        out.cell(text_of_ref(s.event)).count(s.n).cell(date_text(s.date)).cell(s.kind).cell(s.cylinder).cell(s.to);
        out.cell(site_text(s.to, "address")).cell(s.manifest).cell(s.refrigerant).cell(s.owner).cell(s.condition);
        out.cell(s.mass).cell(text_of(s.basis));
        const RuleSubject gas{book.catalogue().find(s.refrigerant), {}, {}};
        if (const auto rule = first_matching<terms::ShipmentRecord>(view.packs, gas, s.date))
            rules.add("shipments", *rule);
        const auto statement = walk.reclaim().statement_on(s.event_id);
        out.cell(statement ? text_of_ref(ref_of(*statement)) : std::string());
        out.end_row();
        auto& sent = figures.sent[{s.to, s.refrigerant}];
        ++sent.shipments;
        sent.mass += s.mass;
    }
    files.push_back(out.close());
}

void ExportTables::statements() {
    auto out = begin("statements");
    const auto shows = [&](const StatedLot& l) {
        return view.scope.shows_stock_of(told_owner(l.lot.refrigerant, l.lot.owner));
    };
    for (const auto& s : walk.reclaim().statements()) {
        // money is for the whole return: where gas of others was in it, it is not shown to one of them
        const bool whole = std::all_of(s.lots.begin(), s.lots.end(), shows);
        int n = 0;
        for (const auto& lot : s.lots) {
            if (!shows(lot)) continue;
            out.cell(text_of_ref(ref_of(s.event))).count(++n).cell(date_text(s.date)).cell(s.said.dated.value_or(""));
            out.cell(text_of_ref(ref_of(s.returned))).cell(date_text(s.returned_on)).cell(s.said.cylinder).cell(s.to);
            out.cell(lot.lot.refrigerant).cell(told_owner(lot.lot.refrigerant, lot.lot.owner));
            out.cell(text_of(lot.lot.condition));
            for (const auto mass : {lot.sent, lot.stated, lot.not_refrigerant, lot.difference}) out.cell(mass);
            out.cell(s.said.gas.value_or("")).cell(s.said.purity.value_or("")).cell(s.said.lab.value_or(""));
            const auto credit = whole ? s.said.credit_amount : std::nullopt;
            out.cell(s.said.outcome.value_or(""));
            out.cell(whole ? money_or_words(credit, s.said.credit).value_or("") : std::string());
            out.cell(amount_field(credit).csv()).cell(currency_field(credit).csv());
            out.end_row();
        }
    }
    files.push_back(out.close());
}

void ExportTables::exceptions() {
    auto out = begin("exceptions");
    std::int64_t event = 0, n = 0;
    book.each_exception(Date(view.balance.year / 1 / 1), Date(view.balance.year / 12 / 31), [&](KnownException&& x) {
        // as of the events: what this book found in a merge of its own is no part of the year
        if (!walk.has(x.event_id) || (is_about_books(x.kind) && x.kind != kinds::Seal::name)) return;
        n = x.event_id == event ? n + 1 : 1;
        event = x.event_id;
        const auto& f = x.finding;
        out.cell(text_of_ref(ref_of(x.event))).count(n).cell(date_text(x.day)).cell(f.check);
        for (const auto& text : {f.subject, f.text, f.seen, f.expected, f.accepted}) out.cell(withholder.shown(text));
        out.cell(x.resolved_by ? "true" : "false");
        out.cell(x.resolved_by ? text_of_ref(ref_of(*x.resolved_by)) : std::string());
        out.end_row();
        ++figures.exceptions;
        if (!x.resolved_by) ++figures.unresolved;
    });
    files.push_back(out.close());
}

void ExportTables::technicians() {
    auto out = begin("technicians");
    for (const auto& [code, recorded] : walk.technicians()) {
        const auto* entry = book.entries().find(EntryKind::technician, code);
        out.cell(code);
        for (const auto* field : {"name", "company", "certificate", "certificate_type", "left"})
            out.cell(entry ? entry->text(field, at_end).value_or("") : std::string());
        out.count(recorded);
        out.end_row();
    }
    files.push_back(out.close());
}

}  // namespace tarebook::report
