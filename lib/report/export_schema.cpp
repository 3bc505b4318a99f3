#include "export_schema.hpp"
#include "tarebook/units/word_list.hpp"
#include "units/must_hold.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <stdexcept>

#include "columns.hpp"

namespace tarebook::report {

const std::vector<ExportTable>& export_tables() {
    constexpr const char* event_words = "event: d- and the first 16 digits of its digest";
    constexpr const char* events_words = "events behind the row, each as in the table events, parted by blanks";
    static const std::vector<ExportTable> tables{
        {"appliances",
         "Appliances",
         "Identity, place, owner and full charge at the end of the year.",
         {{"appliance", "string", "code: SITE/APPLIANCE"},
          {"name", "string", "name"},
          {"site", "string", "code of the site"},
          {"site_name", "string", "name of the site"},
          {"address", "string", "address of the site"},
          {"owner", "string", "owner of the site at the end of the year"},
          {"category", "string", "use, as the leak-rate thresholds part it"},
          {"refrigerant", "string", "designation"},
          {"full_charge_lb", "number", "full charge, pounds"},
          {"full_charge_basis", "string", "how it was found: maker, calculated, measured, range"},
          {"model", "string", "model"},
          {"serial", "string", "serial number"},
          {"events", "string", events_words}},
         {"appliance"},
         {}},
        {"full_charges",
         "Full charges",
         "Each revision of a full charge, with its date and how it was found; those of all years up to this one.",
         {{"appliance", "string", "code"},
          {"event", "string", event_words},
          {"from", "date", "day from which it holds"},
          {"full_charge_lb", "number", "full charge, pounds; of a range its midpoint"},
          {"low_lb", "number", "lower end of a range, or the full charge, pounds"},
          {"high_lb", "number", "upper end of a range, pounds"},
          {"basis", "string", "maker, calculated, measured, range"}},
         {"appliance", "event"},
         {{{"appliance"}, "appliances", {"appliance"}}}},
        {"circuits",
         "Circuits",
         "Circuits of the appliances.",
         {{"circuit", "string", "code: SITE/APPLIANCE/CIRCUIT"},
          {"appliance", "string", "code"},
          {"serves", "string", "what it serves"},
          {"events", "string", events_words}},
         {"circuit"},
         {{{"appliance"}, "appliances", {"appliance"}}}},
        {"cylinders",
         "Cylinders",
         "Cylinders that held gas at the end of the year, or were used in it; an owner's export has the owner's share.",
         {{"cylinder", "string", "code"},
          {"use", "string", "recovery, consolidation or supply"},
          {"spec", "string", "specification mark"},
          {"serial", "string", "serial number"},
          {"belongs_to", "string", "whose cylinder it is; empty in an owner's or a site's export"},
          {"tare_lb", "number", "tare, pounds"},
          {"tested", "string", "last test, YYYY-MM, as stamped"},
          {"test_due_on", "date", "last day in test"},
          {"contents_lb", "number", "contents at the end of the year by the book, pounds"},
          {"last_weighed_on", "date", "last weighing against a tare by the end of the year"},
          {"counted_lb", "number", "contents that this weighing found, after what moved in its event, pounds"},
          {"contents", "string", "refrigerant, owner and condition of each lot"},
          {"events", "string", "the weighing, as in the table events"}},
         {"cylinder"},
         {}},
        {"cylinders_out_of_test",
         "Cylinders out of test",
         "Cylinders of the table above whose test had run out by the end of the year, or whose test date is not on "
         "record.",
         {{"cylinder", "string", "code"},
          {"spec", "string", "specification mark"},
          {"tested", "string", "last test, YYYY-MM"},
          {"due_on", "date", "last day in test"},
          {"why", "string", "what is known"},
          {"rule", "string", "clause of the rule"},
          {"rule_status", "string", "read, read-in-print or to-confirm"}},
         {"cylinder"},
         {{{"cylinder"}, "cylinders", {"cylinder"}}}},
        {"balances",
         "Balances by refrigerant",
         "Opening + terms = closing, of stock in cylinders (by owner of the gas) and of equipment (net put in since "
         "the "
         "book began, by owner and appliance). A term is the sum of its rows in movements.",
         {{"balance", "string", "part/refrigerant/owner, and of equipment /appliance"},
          {"term", "string", "opening, a term, closing, counted, or never-counted"},
          {"basis", "string", "weighed, stated, estimated; all where the row is not a term"},
          {"part", "string", "stock or equipment"},
          {"refrigerant", "string", "designation"},
          {"owner", "string", "of the gas (stock), of the site (equipment)"},
          {"appliance", "string", "code; empty for stock"},
          {"mass_lb", "number", "pounds; into cylinders or into equipment is positive"},
          {"mass_count", "integer", "the same exactly, counts of 1.25 ng"}},
         {"balance", "term", "basis"},
         {}},
        {"movements",
         "Movements",
         "What each event of the year added to a balance.",
         {{"event", "string", event_words},
          {"n", "integer", "number within the event"},
          {"balance", "string", "of the table balances"},
          {"term", "string", "term"},
          {"basis", "string", "weighed, stated or estimated"},
          {"condition", "string", "virgin, reclaimed, recycled or recovered"},
          {"place", "string", "circuit or appliance, supplier, reclaimer, where the term has one"},
          {"mass_lb", "number", "pounds; into cylinders or into equipment is positive"},
          {"mass_count", "integer", "the same exactly, counts of 1.25 ng"}},
         {"event", "n"},
         {{{"event"}, "events", {"event"}}, {{"balance", "term", "basis"}, "balances", {"balance", "term", "basis"}}}},
        {"losses",
         "Losses",
         "What was lost, in pounds, one row for a gas, owner and site: by the material balance and by the simplified "
         "balance of EPA's guidance (equations from memory). The two tell of the same gas and are never to be added; "
         "the rows of one of them are, storage with sites.",
         {{"refrigerant", "string", "designation"},
          {"owner", "string", "owner"},
          {"site", "string", "code; storage for gas in cylinders"},
          {"material_loss_lb", "number",
           "by the material balance, pounds; below zero where a weight or a full charge is wrong"},
          {"simplified_loss_lb", "number", "by the simplified balance, of sites alone, pounds"},
          {"acquired_lb", "number", "pounds"},
          {"disbursed_lb", "number", "pounds"},
          {"stock_at_start_lb", "number", "pounds"},
          {"stock_at_end_lb", "number", "pounds"},
          {"full_charge_at_start_lb", "number", "pounds"},
          {"full_charge_at_end_lb", "number", "pounds"},
          {"left_out_at_start_lb", "number", "pounds taken out before and not put back"},
          {"left_out_at_end_lb", "number", "pounds taken out by then and not put back"},
          {"charged_into_new_lb", "number", "pounds"},
          {"full_charge_of_new_lb", "number", "pounds"},
          {"used_in_service_lb", "number", "pounds"},
          {"full_charge_of_disposed_lb", "number", "pounds"},
          {"recovered_from_disposed_lb", "number", "pounds"}},
         {"refrigerant", "owner", "site"},
         {}},
        {"loss_equivalents",
         "Losses as carbon dioxide equivalents",
         "The rows of losses by named set of potentials, without their pounds; figures of two sets are never to be "
         "added.",
         {{"refrigerant", "string", "designation"},
          {"owner", "string", "owner"},
          {"site", "string", "code; storage for gas in cylinders"},
          {"gwp_set", "string", "set of global warming potentials"},
          {"gwp", "number", "potential by this set; empty where the set knows no part of the gas"},
          {"t_co2e", "number",
           "of material_loss_lb: tonnes of carbon dioxide equivalent; empty, and not zero, without a potential on "
           "record"},
          {"simplified_t_co2e", "number", "of simplified_loss_lb: tonnes of carbon dioxide equivalent"},
          {"at_least", "boolean", "the set lacks a part of the gas: the figures are those of the other parts"}},
         {"refrigerant", "owner", "site", "gwp_set"},
         {{{"refrigerant", "owner", "site"}, "losses", {"refrigerant", "owner", "site"}}}},
        {"additions",
         "Additions and leak rates",
         "Per appliance and job what was put in beyond what was taken out, and the rate it shows on that day.",
         {{"event", "string", "last movement of the job, as in the table events"},
          {"appliance", "string", "code"},
          {"date", "date", "local day"},
          {"job", "string", "job number"},
          {"leak", "string", "leak that it was for"},
          {"added_lb", "number", "pounds that count"},
          {"excluded_lb", "number", "pounds put in for a reason that the definition leaves out"},
          {"excluded_for", "string", "reasons"},
          {"full_charge_lb", "number", "full charge of that day, pounds"},
          {"days", "integer", "days in the divisor, or length of the window"},
          {"method", "string", "annualizing or rolling"},
          {"rate_percent", "number", "percent of the full charge"},
          {"threshold_percent", "number", "percent"},
          {"exceeded", "boolean", "over the threshold"},
          {"rule", "string", "clause of the threshold"},
          {"rule_status", "string", "read, read-in-print or to-confirm"},
          {"formula", "string", "how the rate was computed, masses in pounds"},
          {"events", "string", events_words}},
         {"event", "appliance"},
         {{{"event"}, "events", {"event"}}, {{"appliance"}, "appliances", {"appliance"}}}},
        {"leaks",
         "Leaks, inspections, repairs, tests, plans, mothballing and extensions",
         "What is on record about leaks in the year.",
         {{"event", "string", event_words},
          {"kind", "string", "leak, inspect, repair, leak-test, plan, mothball or extension"},
          {"date", "date", "local day"},
          {"appliance", "string", "code"},
          {"leak", "string", "code of the leak"},
          {"technician", "string", "code of the technician"},
          {"what", "string", "place, method, what was done, stage, plan, pressure, or of what and what for"},
          {"result", "string", "no-leak or leak; pass or fail; the day of a plan or extension; begun or ended"}},
         {"event"},
         {{{"event"}, "events", {"event"}}}},
        {"disposals",
         "Appliances disposed of",
         "Recoveries for disposal from appliances of the size that the rule names, month by month.",
         {{"event", "string", event_words},
          {"month", "string", "YYYY-MM"},
          {"date", "date", "day of recovery"},
          {"appliance", "string", "code"},
          {"address", "string", "address of the site"},
          {"full_charge_lb", "number", "full charge, pounds"},
          {"refrigerant", "string", "designation"},
          {"recovered_lb", "number", "pounds"},
          {"technician", "string", "code of the technician"},
          {"rule", "string", "clause of the rule"},
          {"rule_status", "string", "read, read-in-print or to-confirm"}},
         {"event", "refrigerant"},
         {{{"event"}, "events", {"event"}}}},
        {"disposals_by_month",
         "Recovered from appliances disposed of, by month",
         "Sums of the table disposals.",
         {{"month", "string", "YYYY-MM"},
          {"refrigerant", "string", "designation"},
          {"appliances", "integer", "how many"},
          {"recovered_lb", "number", "pounds"},
          {"events", "string", events_words}},
         {"month", "refrigerant"},
         {}},
        {"shipments",
         "Sent for reclaim or destruction",
         "What left with a cylinder, or out of one, to a reclaimer, a supplier in exchange, or a destruction facility.",
         {{"event", "string", event_words},
          {"n", "integer", "number within the event"},
          {"date", "date", "local day"},
          {"kind", "string", "return, destroy or exchange"},
          {"cylinder", "string", "code"},
          {"to", "string", "recipient"},
          {"address", "string", "address of the recipient, where a site of that code is on record"},
          {"manifest", "string", "manifest number"},
          {"refrigerant", "string", "designation"},
          {"owner", "string", "owner of the gas"},
          {"condition", "string", "condition"},
          {"mass_lb", "number", "pounds sent"},
          {"basis", "string", "weighed, stated or estimated"},
          {"statement", "string",
           "event of the reclaimer's statement about it, recorded by the end of the year; empty: none yet"}},
         {"event", "n"},
         {{{"event"}, "events", {"event"}}}},
        {"statements",
         "Statements of reclaimers",
         "What reclaimers said, in statements recorded in the year, of what they were sent, lot by lot: sent = stated "
         "+ "
         "not refrigerant + difference.",
         {{"event", "string", event_words},
          {"n", "integer", "number within the event"},
          {"date", "date", "day on which it was recorded"},
          {"dated", "date", "day of the statement"},
          {"returned", "string", "event of the return, which may be of a year before"},
          {"returned_on", "date", "day of the return"},
          {"cylinder", "string", "code"},
          {"to", "string", "reclaimer"},
          {"refrigerant", "string", "designation, as sent"},
          {"owner", "string", "owner of the gas"},
          {"condition", "string", "condition, as sent"},
          {"sent_lb", "number", "pounds sent, by the book"},
          {"stated_lb", "number", "pounds of refrigerant, as stated"},
          {"not_refrigerant_lb", "number", "pounds of oil, water and air"},
          {"difference_lb", "number", "pounds that neither explains"},
          {"found", "string", "refrigerant that the analysis found"},
          {"purity_percent", "number", "percent by mass"},
          {"lab", "string", "number of the analysis"},
          {"outcome", "string", "reclaimed, destroyed or rejected"},
          {"credit", "string", "money, as recorded; left out where others' gas was in the return"},
          {"credit_amount", "number", "amount of that money; empty where it was recorded in words"},
          {"credit_currency", "string", "its currency, a code of ISO 4217"}},
         {"event", "n"},
         {{{"event"}, "events", {"event"}}}},
        {"exceptions",
         "Exceptions",
         "What was recorded with an exception in the year, resolved or not.",
         {{"event", "string", event_words},
          {"n", "integer", "number within the event"},
          {"date", "date", "local day"},
          {"check", "string", "name of the check"},
          {"subject", "string", "what it is about"},
          {"text", "string", "the sentence"},
          {"seen", "string", "what was read or typed"},
          {"expected", "string", "what would have been taken"},
          {"accepted", "string", "reason given for recording it nevertheless"},
          {"resolved", "boolean", "an event resolves it"},
          {"resolved_by", "string", event_words}},
         {"event", "n"},
         {{{"event"}, "events", {"event"}}}},
        {"technicians",
         "Technicians",
         "Who recorded the events of the year, with the certificate on record.",
         {{"technician", "string", "code"},
          {"name", "string", "name"},
          {"company", "string", "company"},
          {"certificate", "string", "certificate"},
          {"certificate_type", "string", "I, II, III or universal"},
          {"left", "date", "day on which they left"},
          {"recorded", "integer", "how many events of this export"}},
         {"technician"},
         {}},
        {"events",
         "Events",
         "Every event of the year in order of time, with what was read on the scale.",
         {{"event", "string", "d- and the first 16 digits of the digest"},
          {"book", "string", "id of the book that recorded it"},
          {"seq", "integer", "its number there: E12"},
          {"date", "date", "local day"},
          {"time", "string", "local clock, HH:MM"},
          {"zone", "string", "time zone"},
          {"kind", "string", "what happened"},
          {"technician", "string", "code of the technician"},
          {"job", "string", "job number"},
          {"scale", "string", "scale"},
          {"circuit", "string", "circuit or appliance"},
          {"cylinder", "string", "cylinder"},
          {"other_cylinder", "string", "the second cylinder"},
          {"party", "string", "supplier, reclaimer ..."},
          {"refrigerant", "string", "designation, where the event says one"},
          {"condition", "string", "condition, where the event says one"},
          {"reason", "string", "reason of a movement"},
          {"before_lb", "number", "gross weight before, pounds"},
          {"after_lb", "number", "gross weight after, pounds"},
          {"net_lb", "number", "net weight, or an estimate, pounds"},
          {"gross_lb", "number", "gross weight, pounds"},
          {"other_before_lb", "number", "of the second cylinder, pounds"},
          {"other_after_lb", "number", "of the second cylinder, pounds"},
          {"note", "string", "remark"},
          {"anyway", "string", "reason given for recording it nevertheless"},
          {"withheld", "boolean", "the event touched another owner's gas, so weights and remarks are left out"},
          {"voided_by", "string", "event of the void that takes it out"},
          {"digest", "string", "SHA-256 of the recorded body"}},
         {"event"},
         {}}};
    return tables;
}

const ExportTable& export_table_named(std::string_view name) {
    const auto& all = export_tables();
    const auto it = std::find_if(all.begin(), all.end(), [&](const ExportTable& table) { return table.name == name; });
    must_hold(it != all.end(), "an export has the table");
    return *it;
}

void AppliedRules::add(std::string_view table, const RulePack& pack, std::string_view rule, std::string_view clause,
                       RuleStatus status) {
    by_table_[std::string(table)].insert(
        {pack.id, date_text(pack.date), std::string(rule), std::string(clause), std::string(key_of(status))});
}
void AppliedRules::add(std::string_view table, const RuleMatch& match) {
    if (!match.pack || !match.rule) return;
    add(table, *match.pack, match.rule->id, match.rule->clause, match.status());
}
std::string AppliedRules::text() const {
    struct Count {
        std::string date;
        int rules = 0, to_confirm = 0;
    };
    std::map<std::string, Count> packs;
    for (const auto& one : all()) {
        auto& count = packs[one.pack];
        count.date = one.date;
        ++count.rules;
        count.to_confirm += one.status == key_of(RuleStatus::to_confirm) ? 1 : 0;
    }
    std::string out;
    for (const auto& [pack, count] : packs)
        add_word(out, fmt::format("{} ({}, {} of {} {} to confirm)", pack, count.date, count.to_confirm, count.rules,
                                  count.rules == 1 ? "rule" : "rules"));
    return out.empty() ? "none of the packs" : out;
}
Json AppliedRules::json(std::string_view table) const {
    Json out = Json::array();
    const auto it = by_table_.find(table);
    if (it == by_table_.end()) return out;
    for (const auto& one : it->second)
        out.push(facts({{"pack", one.pack},
                        {"pack_date", one.date},
                        {"rule", one.rule},
                        {"clause", Json::text(one.clause)},
                        {"status", one.status}}));
    return out;
}
std::set<AppliedRules::One> AppliedRules::all() const {
    std::set<One> out;
    for (const auto& [table, rules] : by_table_) out.insert(rules.begin(), rules.end());
    return out;
}

namespace {

Json schema_of(const ExportTable& table, bool practice) {
    static const Columns<ExportField> columns{{"name", "", &ExportField::name},
                                              {"type", "", &ExportField::type},
                                              {"description", "", &ExportField::description}};
    Json schema = Json::object(), fields = Json::array();
    if (practice) fields.push(columns.object({"practice", "string", "PRACTICE: nothing in this book is real"}));
    for (const auto& field : table.fields) fields.push(columns.object(field));
    schema.add("fields", std::move(fields));
    if (!table.primary_key.empty()) schema.add("primaryKey", Json::list(table.primary_key));
    if (!table.references.empty()) {
        Json keys = Json::array();
        for (const auto& reference : table.references)
            keys.push(facts(
                {{"fields", Json::list(reference.fields)},
                 {"reference", facts({{"resource", reference.table}, {"fields", Json::list(reference.in_table)}})}}));
        schema.add("foreignKeys", std::move(keys));
    }
    return std::move(schema.add("missingValues", Json::list(std::vector<std::string>{""})));
}

}  // namespace

Json data_package(const std::string& name, const std::string& title, const std::vector<ExportTable>& tables,
                  const std::vector<WrittenFile>& files, const AppliedRules& rules, const std::string& reserve,
                  bool practice) {
    Json resources = Json::array();
    for (const auto& table : tables) {
        const auto file =
            std::find_if(files.begin(), files.end(), [&](const WrittenFile& f) { return f.name == table.file(); });
        must_hold(file != files.end(), "each table of an export was written");
        resources.push(facts({{"name", table.name},
                              {"path", table.file()},
                              {"profile", "tabular-data-resource"},
                              {"title", table.title},
                              {"description", fmt::format("{} {}", table.description, reserve)},
                              {"format", "csv"},
                              {"mediatype", "text/csv"},
                              {"encoding", "utf-8"},
                              {"bytes", file->bytes},
                              {"hash", "sha256:" + hex(file->sha256)},
                              {"dialect", facts({{"delimiter", ","},
                                                 {"lineTerminator", "\r\n"},
                                                 {"quoteChar", "\""},
                                                 {"doubleQuote", true},
                                                 {"header", true}})},
                              {"schema", schema_of(table, practice)},
                              {"rules_applied", rules.json(table.name)}}));
    }
    return facts(
        {{"name", name}, {"title", title}, {"profile", "tabular-data-package"}, {"resources", std::move(resources)}});
}

}  // namespace tarebook::report
