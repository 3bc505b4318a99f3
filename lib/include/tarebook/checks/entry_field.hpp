// A field of a register entry, from what a person typed or what a file has: checked against its rule, kept as typed.
//
//     const auto tare = parse_field(book.catalogue(), {"tare", FieldType::mass, {}}, "27.5lb", ScaleReads::unknown);
#pragma once

#include <string>

#include "tarebook/ledger/register.hpp"
#include "tarebook/refrigerant/catalogue.hpp"

namespace tarebook {

/// The value of a field. `reads` is the unit of a bare number. Errors (usage): word-unknown, flag-word, and those of
/// the parsers that the type of the field names: weight-*, water-capacity, month-format, date-format, refrigerant-*,
/// pressure-*, scale-accuracy, time-zone, country-unknown.
Result<FieldValue> parse_field(const Catalogue& catalogue, const FieldRule& rule, const std::string& typed,
                               ScaleReads reads);

/// Whether a code has the form of its kind: SITE, SITE/APPLIANCE or SITE/APPLIANCE/CIRCUIT, or one word for the others.
/// Error (usage): code-format.
Result<void> check_code(EntryKind kind, const std::string& code);

}  // namespace tarebook
