// Texts that several pages share: of an event, a weight, contents, a finding.
#pragma once

#include <map>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "columns.hpp"
#include "tarebook/report/report.hpp"
#include "tarebook/units/word_list.hpp"

namespace tarebook::report {

/// The name that `void` and `correct` accept: E12, or the first digits of the digest of another book's event.
std::string event_ref(const Book& book, const StoredEvent& event);
/// The day in the book's zone.
Date today_of(const Book& book, Instant now);

/// "all visible and accessible parts" for an inspection, or the inspected parts.
std::string parts_text(const std::string& parts);
/// "more time for the repair, as parts cannot be obtained, until 2026-08-01; asked on 2026-06-10"
std::string extension_text(const kinds::Extension& extension);

/// "recover OAK/RACK-B/4 -> RC-031"
std::string act_of(const Event& event);
/// "typed by Ana Reyes on front-desk".
std::string typed_text(const Typing& typing);

/// The name of an event and its time; with its kind, and as act_of has it.
const Columns<StoredEvent>& event_columns();
const Columns<StoredEvent>& act_columns();

/// The register at `now`, with all that was recorded within that second.
OrderKey order_at(Instant now);

/// The smallest step of a mass that pages show.
Mass shown_step(DisplayUnits units);
/// Rounded down to the step of pages: for stop weights and room, which must never be rounded up.
std::string mass_text_down(Mass mass, DisplayUnits units);
std::string mass_text_up(Mass mass, DisplayUnits units);
std::string mass_or(const std::optional<Mass>& mass, DisplayUnits units, std::string_view otherwise = "-");

/// The lots in one word each: "mixed" and "several" if one word would be wrong.
struct Content {
    std::optional<std::string> refrigerant, owner, condition;
};
Content content_of(const CylinderState& state, const CylinderFacts& facts);
/// Whose gas a lot is. Where not even the gas was told, the ledger's "shop" stands in for an owner and states none.
std::string_view told_owner(std::string_view refrigerant, std::string_view owner);
/// For people: "not on record" where that is so.
std::string owner_text(std::string_view refrigerant, std::string_view owner);
/// "of Harbor Foods, recovered"
std::string whose(const Content& content);
/// The owner, or "not on record" if the ledger has a stand-in.
std::optional<std::string> owner_word(const Content& content);
/// Whether it was weighed, has no known contents, and no tare by which it could be called empty.
bool contents_unknown(const CylinderState& state, const CylinderFacts& facts);
inline constexpr std::string_view contents_unknown_text = "contents not known: no tare on record";
/// "6.00 lb of R-404A, of Harbor Foods, recovered"; "1.00 lb under its tare" if the book is below zero.
std::string held(Mass net, const Content& content, const CylinderFacts& facts, DisplayUnits units);
std::vector<std::string> flags_of(const Catalogue& catalogue, const CylinderState& state);
/// "not in the register: its entry was voided by E12"; empty if it is in the register.
std::string not_in_register(const CylinderNow& cylinder);
inline constexpr std::string_view not_in_register_flag = "not-in-register";

/// "1 problem", "2 problems"
std::string counted(std::int64_t number, std::string_view noun);
std::string or_dash(const std::optional<std::string>& text);

std::string finding_id(const Book& book, const Finding& finding, const StoredEvent& event);
/// {seq, digest}
Json head_json(const Head& head);

/// Several lines: id, sentence, advice.
std::string finding_text(const std::string& id, const Finding& finding);
const Columns<OpenFinding>& finding_columns();
inline Json finding_json(const std::string& id, const Finding& finding) {
    return finding_columns().object({id, 0, {}, finding});
}

/// A word of the record as people say it: "commercial refrigeration".
std::string with_blanks(std::string_view word);
/// Exceptions by the row id of their event.
std::multimap<std::int64_t, OpenFinding> findings_by_event(const Book& book);

/// Error unknown-KIND with the nearest code, if the register has no such entry.
Result<void> entry_exists(const Book& book, EntryKind kind, std::string_view code);

/// Error place-empty, with the places where the book has cylinders.
Error place_empty(std::string_view place, const std::set<std::string>& places);
/// Error job-unknown.
Error unknown_job(std::string_view job);

/// The net movement of one event between circuits and the rest; empty if it was voided.
std::vector<Flow> flows_of(const Book& book, const StoredEvent& event);

}  // namespace tarebook::report
