#include <fmt/format.h>

#include "schema.hpp"

namespace tarebook::analysis {
namespace {

using Columns = std::vector<ViewColumn>;

Columns operator+(Columns a, const Columns& b) {
    a.insert(a.end(), b.begin(), b.end());
    return a;
}

// A mass three times: exactly, in pounds, in kilograms.
Columns mass(const std::string& name, const std::string& sql, const std::string& what) {
    return {{name + "_count", "integer", what + ", exactly: counts of 1.25 ng", sql},
            {name + "_lb", "number", what + ", pounds", fmt::format("({}) / 362873896000.0", sql)},
            {name + "_kg", "number", what + ", kilograms", fmt::format("({}) / 800000000000.0", sql)}};
}
// Seconds since 1970 as an instant.
std::string instant(const std::string& sql) {
    return fmt::format("strftime('%Y-%m-%dT%H:%M:%SZ', {}, 'unixepoch')", sql);
}
std::string hexadecimal(const std::string& sql) {
    return fmt::format("lower(hex({}))", sql);
}

const std::string event_number = "number of the event in this file, of the view event";

View event_view() {
    const auto weight = [](const std::string& name, const std::string& what) { return mass(name, "e." + name, what); };
    return {
        "event",
        "Events",
        "Each event of the book, in no order; order by at, then by book and seq.",
        Columns{{"event", "integer", "number of the event in this file; it names the event in the other views", "e.id"},
                {"name", "string", "name in the book: E12; of another book's the first digits of the digest",
                 "CASE WHEN e.own THEN 'E' || e.seq ELSE substr(" + hexadecimal("e.digest") + ", 1, 12) END"},
                {"digest", "string", "SHA-256 of the event's canonical bytes: its name in every book",
                 hexadecimal("e.digest")},
                {"voided_by", "string", "digest of the void that takes it out of count", hexadecimal("v.void")},
                {"counts", "boolean", "1 unless it is voided", "v.event IS NULL"},
                {"book", "string", "id of the book that recorded it", "b.book"},
                {"seq", "integer", "number in that book", "e.seq"},
                {"at", "datetime", "when it happened, UTC", instant("e.at")},
                {"date", "date", "the local day", "e.date"},
                {"time", "string", "the local clock, HH:MM", "e.time"},
                {"zone", "string", "IANA name of the local time", "e.zone"},
                {"kind", "string", "kind of event: recover, charge, weigh ...", "e.kind"},
                {"technician", "string", "code of the technician", "e.technician"},
                {"job", "string", "job number", "e.job"},
                {"scale", "string", "code of the scale", "e.scale"},
                {"circuit", "string", "circuit or appliance", "e.circuit"},
                {"cylinder", "string", "code of the cylinder", "e.cylinder"},
                {"other_cylinder", "string", "of a transfer: the one that gets the gas", "e.other_cylinder"},
                {"party", "string", "supplier, reclaimer or another firm", "e.party"},
                {"refrigerant", "string", "designation, where the event names it", "e.refrigerant"},
                {"condition", "string", "virgin, reclaimed, recycled or recovered", "e.condition"},
                {"reason", "string", "what gas was moved for", "e.reason"}} +
            weight("before", "gross weight before") + weight("after", "gross weight after") +
            weight("net", "net weight as stated") + weight("gross", "gross weight") +
            weight("other_before", "of the other cylinder before") +
            weight("other_after", "of the other cylinder after") +
            Columns{{"note", "string", "what was noted", "e.note"},
                    {"own_id", "string", "id that the recording program gave it", "e.own_id"},
                    {"anyway", "string", "why it was recorded in spite of a refusal", "e.anyway"},
                    {"recorded_at", "datetime", "when it was recorded, UTC", instant("e.recorded")}},
        "FROM base_event e JOIN base_book b ON b.id = e.book LEFT JOIN base_ineffective v ON v.event = e.id",
        {"event"}};
}

View movement_view() {
    return {
        "movement",
        "Movements",
        "What each event that counts put into cylinders (stock) and into equipment; negative: out of them. Every sum "
        "of gas is a sum of these rows: stock over all terms is what is in cylinders.",
        Columns{{"event", "integer", event_number, "m.event"},
                {"n", "integer", "number within the event", "m.n"},
                {"date", "date", "the local day", "e.date"},
                {"kind", "string", "kind of event", "e.kind"},
                {"technician", "string", "code of the technician", "e.technician"},
                {"job", "string", "job number", "e.job"},
                {"term", "string",
                 "the other side: taken-over, received, recovered, charged, reused, by-others, pumped-over, returned, "
                 "destroyed, released, lost, unaccounted, scale, reclassified, other",
                 "m.term"},
                {"basis", "string", "how the mass is known: weighed, stated, estimated", "m.basis"},
                {"reason", "string", "what gas was moved for", "e.reason"},
                {"refrigerant", "string", "designation", "m.refrigerant"},
                {"owner", "string", "owner of the gas", "m.owner"},
                {"condition", "string", "virgin, reclaimed, recycled or recovered", "m.condition"},
                {"place", "string", "circuit or appliance, supplier, reclaimer, where the term has one", "m.place"},
                {"site_owner", "string", "of equipment: owner of its site on that day", "m.site_owner"}} +
            mass("stock", "m.stock", "into cylinders") + mass("equipment", "m.equipment", "into equipment"),
        "FROM base_movement m JOIN base_event e ON e.id = m.event",
        {"event", "n"}};
}

View level_view() {
    return {
        "cylinder_level",
        "Levels of cylinders",
        "Each cylinder after each event that touched it, by the book, with the limit for what was in it then. A level "
        "holds until the next one of the cylinder.",
        Columns{{"cylinder", "string", "code of the cylinder", "l.cylinder"},
                {"event", "integer", event_number, "l.event"},
                {"at", "datetime", "from when on it holds, UTC", instant("l.at")},
                {"until_at", "datetime", "the next level's time, UTC; empty for the last one",
                 instant("lead(l.at) OVER (PARTITION BY l.cylinder ORDER BY l.at, l.origin, l.seq)")},
                {"is_last", "boolean", "1: as the cylinder is now",
                 "lead(l.at) OVER (PARTITION BY l.cylinder ORDER BY l.at, l.origin, l.seq) IS NULL"},
                {"refrigerants", "string", "designations of what is in it, parted by +", "l.refrigerants"},
                {"place", "string", "the place that it was last moved to", "l.place"}} +
            mass("contents", "l.contents", "contents by the book") +
            mass("gross", "l.gross", "what a scale should show, where that is known") +
            mass("gap", "l.gap", "what weighings of this event differed from the book") +
            mass("limit", "l.fill_limit",
                 "most that may be in it, net, by the collar and the gas of that time; empty where the register lacks "
                 "its water capacity or the catalogue the gas") +
            Columns{{"limit_rule", "string", "which rule gives the limit", "l.fill_rule"},
                    {"percent_of_limit", "number", "contents as percent of the limit",
                     "100.0 * l.contents / nullif(l.fill_limit, 0)"},
                    {"gone", "boolean", "1: it left the shop", "l.gone"},
                    {"lost", "boolean", "1: it is lost", "l.lost"},
                    {"condemned", "boolean", "1: it is condemned", "l.condemned"},
                    {"leaking", "boolean", "1: it leaks", "l.leaking"}},
        "FROM base_level l",
        {"cylinder", "event"}};
}

View addition_view() {
    return {
        "addition",
        "Additions and leak rates",
        "Per appliance and job what was put in beyond what was taken out, and the leak rate that it shows on that day "
        "by the rules that hold there. Not a statement that a rule is met.",
        Columns{{"appliance", "string", "code: SITE/APPLIANCE", "a.appliance"},
                {"n", "integer", "number within the appliance, in order of time", "a.n"},
                {"event", "integer", "last movement of the job: " + event_number, "a.event"},
                {"site", "string", "code of the site", "substr(a.appliance, 1, instr(a.appliance, '/') - 1)"},
                {"date", "date", "the local day", "a.date"},
                {"job", "string", "job number", "a.job"},
                {"leak", "string", "leak that it was for", "a.leak"}} +
            mass("added", "a.added", "what counts as an addition") +
            mass("excluded", "a.excluded", "put in for a reason that the definition leaves out") +
            Columns{{"excluded_for", "string", "those reasons", "a.excluded_for"}} +
            mass("full_charge", "a.full_charge", "full charge of that day") +
            Columns{{"days", "integer", "days in the divisor, or length of the window", "a.days"},
                    {"method", "string", "annualizing or rolling", "a.method"},
                    {"rate_percent", "number", "leak rate, percent of the full charge a year", "a.rate"},
                    {"threshold_percent", "number", "threshold of the rule, percent", "a.threshold"},
                    {"exceeded", "boolean", "1: over the threshold; empty without a rate or a threshold", "a.exceeded"},
                    {"rule", "string", "clause of the threshold", "a.rule"},
                    {"rule_status", "string", "read, read-in-print or to-confirm", "a.rule_status"},
                    {"formula", "string", "how the rate was computed, masses in pounds", "a.formula"},
                    {"events", "string", "numbers of the events behind the row, parted by blanks", "a.events"}},
        "FROM base_addition a",
        {"appliance", "n"}};
}

View finding_view() {
    return {"finding",
            "Exceptions",
            "What the checks found in events and was recorded nevertheless.",
            Columns{{"event", "integer", event_number, "f.event"},
                    {"n", "integer", "number within the event", "f.n"},
                    {"date", "date", "the local day of the event", "e.date"},
                    {"check_name", "string", "name of the check", "f.name"},
                    {"subject", "string", "what it is about: a cylinder, a circuit ...", "f.subject"},
                    {"severity", "string", "exception, or refusal where a person recorded it anyway", "f.severity"},
                    {"text", "string", "what was found, in a sentence", "f.text"},
                    {"seen", "string", "what was seen", "f.seen"},
                    {"expected", "string", "what was expected", "f.expected"},
                    {"accepted", "string", "why it was recorded nevertheless", "f.accepted"},
                    {"resolved", "boolean", "1: an event resolved it", "f.resolved_by IS NOT NULL"},
                    {"resolved_by", "string", "digest of that event", hexadecimal("f.resolved_by")}},
            "FROM base_finding f JOIN base_event e ON e.id = f.event",
            {"event", "n"}};
}

View shipment_view() {
    return {"shipment",
            "Shipments",
            "Gas that left for a reclaimer, a supplier or a destruction facility, one row for each gas, owner and "
            "condition of an event.",
            Columns{{"event", "integer", event_number, "m.event"},
                    {"n", "integer", "number within the event", "m.n"},
                    {"date", "date", "the local day", "e.date"},
                    {"kind", "string", "return, exchange or destroy", "e.kind"},
                    {"cylinder", "string", "code of the cylinder", "e.cylinder"},
                    {"facility", "string", "where it went", "m.place"},
                    {"manifest", "string", "number of the papers", "t.manifest"},
                    {"refrigerant", "string", "designation", "m.refrigerant"},
                    {"owner", "string", "owner of the gas", "m.owner"},
                    {"condition", "string", "virgin, reclaimed, recycled or recovered", "m.condition"}} +
                mass("sent", "-m.stock", "what left") +
                Columns{{"basis", "string", "how the mass is known: weighed, stated, estimated", "m.basis"}},
            "FROM base_movement m JOIN base_event e ON e.id = m.event LEFT JOIN base_manifest t ON t.event = m.event\n"
            "WHERE m.term IN ('returned', 'destroyed') AND m.stock IS NOT NULL",
            {"event", "n"}};
}

View settlement_view() {
    const auto sum = [](const std::string& column) {
        return "(SELECT sum(l." + column + ") FROM base_settlement_lot l WHERE l.event = s.event)";
    };
    return {
        "settlement",
        "Statements of reclaimers",
        "What a reclaimer's statement made of a return, one row a statement: money stands here once, and masses are "
        "those of all its lots.",
        Columns{{"event", "integer", "the statement: " + event_number, "s.event"},
                {"date", "date", "local day of recording", "e.date"},
                {"statement_date", "date", "as the statement is dated", "s.statement_date"},
                {"returned", "integer", "the return: " + event_number, "s.returned"},
                {"returned_date", "date", "local day of the return", "r.date"},
                {"facility", "string", "the reclaimer", "s.facility"},
                {"cylinder", "string", "code of the cylinder", "s.cylinder"},
                {"refrigerant", "string", "designation, as stated", "s.refrigerant"},
                {"purity_percent", "number", "purity as stated, percent by mass", "s.purity"},
                {"lab", "string", "number of the laboratory's report", "s.lab"},
                {"outcome", "string", "reclaimed, destroyed or rejected", "s.outcome"}} +
            mass("sent", sum("sent"), "what was sent, by the book") +
            mass("stated", sum("stated"), "refrigerant as stated") +
            mass("not_refrigerant", sum("not_refrigerant"), "oil, water and air as stated") +
            mass("difference", sum("difference"), "sent less both") +
            Columns{
                {"credit_amount", "number", "what the reclaimer credits, in its currency", "s.credit"},
                {"credit_currency", "string", "code of ISO 4217; two currencies are never to be added", "s.currency"},
                {"credit_words", "string", "money in words, of events that have no amount", "s.credit_words"}},
        "FROM base_settlement s JOIN base_event e ON e.id = s.event JOIN base_event r ON r.id = s.returned",
        {"event"}};
}

View settlement_lot_view() {
    return {"settlement_lot",
            "Lots of statements",
            "The masses of a statement by gas, owner and condition; sent = stated + not_refrigerant + difference.",
            Columns{{"event", "integer", "the statement: " + event_number, "l.event"},
                    {"n", "integer", "number within the statement", "l.n"},
                    {"refrigerant", "string", "designation", "l.refrigerant"},
                    {"owner", "string", "owner of the gas", "l.owner"},
                    {"condition", "string", "condition as it was sent", "l.condition"}} +
                mass("sent", "l.sent", "what was sent") + mass("stated", "l.stated", "refrigerant as stated") +
                mass("not_refrigerant", "l.not_refrigerant", "oil, water and air as stated") +
                mass("difference", "l.difference", "sent less both"),
            "FROM base_settlement_lot l",
            {"event", "n"}};
}

View register_view() {
    const std::string later = "lead(r.at) OVER (PARTITION BY r.kind, r.code, r.field ORDER BY r.at, r.origin, r.seq)";
    return {
        "register_value",
        "The register over time",
        "Each value of each field of sites, appliances, circuits, cylinders, scales, machines, technicians and stock. "
        "A value holds from its time on, until the next one of the field; the first one holds also before.",
        Columns{
            {"kind", "string", "kind of entry", "r.kind"},
            {"code", "string", "code of the entry", "r.code"},
            {"field", "string", "name of the field", "r.field"},
            {"from_at", "datetime", "from when on it holds, UTC", instant("r.at")},
            {"event_name", "string", "name of the event that set it, as in the view event", "r.event_name"},
            {"from_seq", "integer", "number of that event in its book: it parts values of one instant", "r.seq"},
            {"until_at", "datetime", "the next value's time, UTC; empty for the one that holds now", instant(later)},
            {"holds_now", "boolean", "1: no later value is on record", later + " IS NULL"},
            {"value", "string", "as it was typed; empty: not on record any more", "r.value"}} +
            mass("value", "r.mass", "of a weight"),
        "FROM base_register r",
        {"kind", "code", "field", "from_at", "event_name"}};
}

View stock_view() {
    return {"stock_by_day",
            "Stock by day",
            "Gas in cylinders by refrigerant and owner at the end of each day on which it changed; between two rows it "
            "stays as it is.",
            Columns{{"date", "date", "the local day", "d.date"},
                    {"refrigerant", "string", "designation", "d.refrigerant"},
                    {"owner", "string", "owner of the gas", "d.owner"}} +
                mass("change", "d.change", "what came less what went on that day") +
                mass("stock", "sum(d.change) OVER (PARTITION BY d.refrigerant, d.owner ORDER BY d.date)",
                     "what is there at its end"),
            "FROM (SELECT e.date AS date, m.refrigerant AS refrigerant, m.owner AS owner, sum(m.stock) AS change\n"
            "      FROM base_movement m JOIN base_event e ON e.id = m.event\n"
            "      WHERE m.stock IS NOT NULL GROUP BY 1, 2, 3) d",
            {"date", "refrigerant", "owner"}};
}

View loss_view() {
    const auto of = [](const std::string& name, const std::string& what) { return mass(name, "x." + name, what); };
    return {
        "loss",
        "Losses",
        "What was lost in a year, in pounds and kilograms, one row for a gas, owner and appliance, and one for a gas "
        "and owner in storage: by the material balance and by the simplified balance of EPA's guidance (equations from "
        "memory). The two tell of the same gas and are never to be added; the rows of one of them are. A loss below "
        "zero says that a weight, a full charge or a record is wrong.",
        Columns{{"year", "integer", "calendar year of local days", "x.year"},
                {"refrigerant", "string", "designation", "x.refrigerant"},
                {"owner", "string", "owner of the site, or of the gas in storage", "x.owner"},
                {"site", "string", "code of the site; storage for gas in cylinders", "x.site"},
                {"appliance", "string", "code of the appliance; empty for storage", "x.appliance"}} +
            of("material_loss", "loss by the material balance") +
            of("simplified_loss", "loss by the simplified balance, of equipment alone") +
            of("acquired", "acquired, of the material balance") +
            of("disbursed", "disbursed, of the material balance") +
            of("full_charge_at_start", "full charge at the start of the year") +
            of("full_charge_at_end", "full charge at the end of the year") +
            of("left_out_at_start", "taken out before and not put back") +
            of("left_out_at_end", "taken out by the end of the year and not put back"),
        "FROM (SELECT year, refrigerant, owner, substr(appliance, 1, instr(appliance, '/') - 1) AS site, appliance,\n"
        "             material_loss, simplified_loss, acquired, disbursed, full_charge_at_start, full_charge_at_end,\n"
        "             left_out_at_start, left_out_at_end FROM base_loss\n"
        "      UNION ALL\n"
        "      SELECT CAST(substr(e.date, 1, 4) AS INTEGER), m.refrigerant, m.owner, 'storage', NULL,\n"
        "             -sum(CASE WHEN m.term IN ('released', 'lost', 'unaccounted', 'scale') THEN m.stock ELSE 0 END),\n"
        "             NULL,\n"
        "             sum(CASE WHEN m.term IN ('taken-over', 'received', 'recovered', 'reclassified', 'other') THEN "
        "m.stock ELSE 0 END),\n"
        "             -sum(CASE WHEN m.term IN ('charged', 'reused', 'returned', 'destroyed') THEN m.stock ELSE 0 "
        "END),\n"
        "             NULL, NULL, NULL, NULL\n"
        "      FROM base_movement m JOIN base_event e ON e.id = m.event WHERE m.stock IS NOT NULL GROUP BY 1, 2, 3) x",
        {}};
}

View equivalent_view() {
    const auto tonnes = [](const std::string& column) {
        return "CASE WHEN g.at_least AND l." + column + "_count < 0 THEN NULL ELSE l." + column +
               "_kg * g.gwp / 1000 END";
    };
    return {"loss_equivalent",
            "Losses as carbon dioxide equivalents",
            "The rows of loss by named set of potentials, without their pounds; figures of two sets are never to be "
            "added. A gas of which a set knows no part has no row for that set.",
            Columns{{"year", "integer", "calendar year of local days", "l.year"},
                    {"refrigerant", "string", "designation", "l.refrigerant"},
                    {"owner", "string", "as in loss", "l.owner"},
                    {"site", "string", "as in loss", "l.site"},
                    {"appliance", "string", "as in loss", "l.appliance"},
                    {"gwp_set", "string", "set of global warming potentials", "g.gwp_set"},
                    {"gwp", "number", "potential by this set", "g.gwp"},
                    {"t_co2e", "number", "of the material loss: tonnes of carbon dioxide equivalent",
                     tonnes("material_loss")},
                    {"simplified_t_co2e", "number", "of the simplified loss: tonnes of carbon dioxide equivalent",
                     tonnes("simplified_loss")},
                    {"at_least", "boolean", "1: the set lacks a part of the gas; figures are those of the other parts",
                     "g.at_least"}},
            "FROM loss l JOIN base_gwp g ON g.refrigerant = l.refrigerant",
            {}};
}

}  // namespace

const std::vector<View>& views() {
    static const std::vector<View> all{event_view(),      movement_view(),       level_view(),    addition_view(),
                                       loss_view(),       equivalent_view(),     finding_view(),  shipment_view(),
                                       settlement_view(), settlement_lot_view(), register_view(), stock_view()};
    return all;
}

std::string sql_of(const View& view) {
    std::string out = fmt::format("CREATE VIEW {} AS\n-- {}\nSELECT\n", view.name, view.description);
    for (std::size_t n = 0; n < view.columns.size(); ++n) {
        const auto& c = view.columns[n];
        out +=
            fmt::format("  {} AS {}{}  -- {}\n", c.sql, c.name, n + 1 < view.columns.size() ? "," : "", c.description);
    }
    return out + view.from;
}

report::ExportTable as_export_table(const View& view) {
    report::ExportTable out{view.name, view.title, view.description, {}, view.key, {}};
    for (const auto& c : view.columns) out.fields.push_back({c.name, c.type, c.description});
    return out;
}

}  // namespace tarebook::analysis
