// Lots of one cylinder: adding to them and drawing from them pro rata, exact to one count of mass.
#pragma once

#include "tarebook/ledger/ledger.hpp"

namespace tarebook {

/// Adds a mass, which may be negative, to one lot. Keeps the list ordered and free of zeros.
void add_to(Lots& lots, const LotKey& key, Mass mass);

/// Splits `amount` over the positive lots in proportion to their masses: floors first, then one count each to the
/// largest remainders, ties by lot order. The parts add up to `amount` exactly. Throws BrokenPromise for a positive
/// amount where no lot is positive.
Lots pro_rata(const Lots& lots, Mass amount);

/// Takes `amount` out of `lots`: pro rata over the positive lots, the rest from `fallback`, which goes negative (a
/// reading slightly below tare is a true reading). Returns what left, lot by lot.
Lots draw(Lots& lots, Mass amount, const LotKey& fallback);

/// The lot that an unexplained mass is booked to: the largest positive lot, else any lot, else `fallback`.
LotKey main_lot(const Lots& lots, const LotKey& fallback);

}  // namespace tarebook
