// What a reclaimer's statement makes of a return.
#include <algorithm>

#include "lots.hpp"
#include "tarebook/ledger/ledger.hpp"

namespace tarebook {
namespace {

// `amount` in the proportion of the lots that were sent. Where none of these is positive, its words are those of the
// overdrawn lot, else those of the statement.
Lots share(const Lots& sent, Mass amount, const kinds::Settle& statement) {
    Lots out;
    if (amount.is_zero()) return out;
    if (Mass() < amount && std::any_of(sent.begin(), sent.end(), [](const Lot& lot) { return Mass() < lot.mass; }))
        return pro_rata(sent, amount);
    add_to(out,
           main_lot(sent, {statement.gas.value_or(std::string(gas_unknown)), std::string(owner_unassigned),
                           Condition::recovered}),
           amount);
    return out;
}

}  // namespace

bool settles(const kinds::Settle& statement, const std::optional<Sent>& sent) {
    return sent && !sent->settled && sent->cylinder == statement.cylinder;
}

Settlement settlement_of(const kinds::Settle& statement, const Lots& sent) {
    const Mass contaminants = statement.contaminants();
    // A statement without weights does not contradict the book's.
    const Mass stated = statement.stated().value_or(std::max(total(sent) - contaminants, Mass()));
    Settlement out{sent, share(sent, stated, statement), share(sent, contaminants, statement), sent, {}};
    for (const auto* parts : {&out.stated, &out.contaminants})
        for (const auto& part : *parts) add_to(out.rest, part.key, -part.mass);
    out.tolerance = level_tolerance(statement.gross ? statement.gross->mass : total(sent), {});
    return out;
}

}  // namespace tarebook
