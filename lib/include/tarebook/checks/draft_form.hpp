// The form of an event: what is wrong with its words alone, without a look at any book. Every recording refuses such a
// draft; of an event that another book recorded, the check `malformed` makes an exception of it.
//
//     for (const auto& error : draft_form_problems(book.reference_data(), draft)) tell(error);
#pragma once

#include <optional>
#include <string_view>
#include <vector>

#include "tarebook/event/event.hpp"
#include "tarebook/rules/reference_data.hpp"
#include "tarebook/units/error.hpp"

namespace tarebook {

/// All of them, in the order of the event's fields; each is ErrorKind::usage:
///   moment-missing    the event or its recording has no time, or its time no zone
///   moment-offset     the offset from UTC is not what the zone's clock showed then
///   time-zone         no such zone on this machine
///   text-not-utf8, text-too-long
///   text-formula      a name or code that begins as a formula of a spreadsheet does
///   reason-empty      a reason that is blank
///   own-id-empty
///   code-format       a code of the register that has not its form
///   field-unknown     a field that entries of this kind do not have
///   field-form        a value that its field does not take: a word, month, pressure, weight, refrigerant ...
///   range-backwards   a range of the full charge that ends below its start
///   weight-typed      a weight whose exact mass is not what was typed, or a mass where no weight was typed
///   weight-range      a weight below zero
///   weighing-twice    a net weight beside a pair
std::vector<Error> draft_form_problems(const ReferenceData& data, const Event& event);
/// Those of the problems that every machine finds, with any set of refrigerants, rule packs and time zones: what a book
/// keeps as an exception must not change with the machine that checks it.
std::vector<Error> form_problems_on_every_machine(const Event& event);
/// What is wrong with a single text: text-not-utf8, text-too-long, text-formula; nothing where all is well. A file is
/// checked cell by cell, so that the error has its place. `field` is the event's own name of it, such as "by", and
/// `shown` the name that people read.
std::optional<Error> text_form_problem(std::string_view field, std::string_view text, std::string_view shown);

}  // namespace tarebook
