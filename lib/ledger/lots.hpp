// Lots of one cylinder: what goes in, what comes out, pro rata, to the last count.
#pragma once

#include "tarebook/ledger/ledger.hpp"

namespace tarebook {

/// Adds (or takes, where negative) to one lot and keeps the list ordered and free of zeros.
void add_to(Lots& lots, const LotKey& key, Mass mass);

/// Splits `amount` over the positive lots in proportion to their masses: floors first, then one count each to the
/// largest remainders, ties by lot order. The parts add up to `amount` exactly. Asking to share a positive amount where
/// no lot is positive throws std::logic_error.
Lots pro_rata(const Lots& lots, Mass amount);

/// Takes `amount` out of `lots`: pro rata over the positive lots; what they do not have comes from `fallback`, which
/// goes negative (a reading slightly below tare is a true reading). Returns what left, lot by lot.
Lots draw(Lots& lots, Mass amount, const LotKey& fallback);

/// The lot that an unexplained mass belongs to: the largest positive lot, else any lot, else `fallback`.
LotKey main_lot(const Lots& lots, const LotKey& fallback);

}  // namespace tarebook
