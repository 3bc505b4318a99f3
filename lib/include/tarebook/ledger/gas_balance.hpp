// What was lost in a year, by the two balances of the EPA Center for Corporate Climate Leadership, "Direct Fugitive
// Emissions from Refrigeration, Air Conditioning, Fire Suppression, and Industrial Gases", sections 2.3 and 2.4
// (equations from memory). What was taken out and not put back is no charge: equipment that stands pumped out at the
// end of a year has lost nothing by it. A loss below zero says that a weight, a full charge or a record is wrong; it is
// shown as it is, never cut off at zero.
#pragma once

#include "tarebook/units/mass.hpp"

namespace tarebook {

/// Section 2.3: one gas, one year, one owner or site.
struct MaterialBalance {
    Mass stock_at_start, stock_at_end;  ///< in storage, not in equipment
    Mass acquired;                      ///< bought, returned by users, back from recycling
    Mass disbursed;                     ///< sold, returned to suppliers, sent to recycling, reclaim or destruction
    Mass full_charge_at_start, full_charge_at_end;  ///< of all equipment
    /// Of the full charges: what was taken out before then and is not put back. Negative where gas of other equipment
    /// was pumped in.
    Mass left_out_at_start = {}, left_out_at_end = {};
    /// Equation from memory. Negative where more gas is there at the end than the figures allow.
    [[nodiscard]] Mass loss() const {
        return (stock_at_start - stock_at_end) + acquired - disbursed + (full_charge_at_start - left_out_at_start) -
               (full_charge_at_end - left_out_at_end);
    }
};

/// Section 2.4: the same from what happened to equipment, without stock.
struct SimplifiedBalance {
    Mass charged_into_new, full_charge_of_new;  ///< both nothing where it came charged from the factory
    Mass used_in_service;
    Mass full_charge_of_disposed, recovered_from_disposed;
    Mass left_out_at_start = {}, left_out_at_end = {};  ///< as above
    /// Equation from memory. Negative where more was recovered than the equipment held.
    [[nodiscard]] Mass loss() const {
        return (charged_into_new - full_charge_of_new) + used_in_service + (left_out_at_end - left_out_at_start) +
               (full_charge_of_disposed - recovered_from_disposed);
    }
};

}  // namespace tarebook
