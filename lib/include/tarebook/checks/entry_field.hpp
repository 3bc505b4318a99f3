// A field of a register entry, from what somebody typed or what a file has: checked against its rule, kept as typed.
//
//     const auto tare = parse_field({"tare", FieldType::mass, {}}, "27.5lb", ScaleReads::unknown);
#pragma once

#include <string>

#include "tarebook/ledger/register.hpp"

namespace tarebook {

/// `reads` is what a bare number is in. Errors: word-unknown, flag-word, and those of the parsers that the type of the
/// field names: weight-*, water-capacity-*, month-format, date-format, refrigerant-*, pressure-*, scale-accuracy,
/// time-zone.
Result<FieldValue> parse_field(const FieldRule& rule, const std::string& typed, ScaleReads reads);

/// SITE, SITE/APPLIANCE or SITE/APPLIANCE/CIRCUIT, as the kind wants it. Error: code-format.
Result<void> check_code(EntryKind kind, const std::string& code);

}  // namespace tarebook
