// What a reclaimer's statement makes of what the book had sent.
#include <algorithm>

#include "lots.hpp"
#include "tarebook/ledger/ledger.hpp"

namespace tarebook {
namespace {

// Some of what was sent, in the proportion of its lots. Where nothing was sent, by the book, it gets the words of the
// lot that is owed, else those of the statement.
Lots share(const Lots& sent, Mass amount, const kinds::Settle& statement) {
    Lots out;
    if (amount.is_zero()) return out;
    if (Mass() < amount && std::any_of(sent.begin(), sent.end(), [](const Lot& lot) { return Mass() < lot.mass; }))
        return pro_rata(sent, amount);
    add_to(out, main_lot(sent, {statement.gas.value_or("unknown"), "unassigned", Condition::recovered}), amount);
    return out;
}

}  // namespace

bool settles(const kinds::Settle& statement, const std::optional<Sent>& sent) {
    return sent && !sent->settled && sent->cylinder == statement.cylinder;
}

Settlement settlement_of(const kinds::Settle& statement, const Lots& sent) {
    const Mass contaminants = statement.contaminants();
    // a statement without weights says nothing against the book's
    const Mass stated = statement.stated().value_or(std::max(total(sent) - contaminants, Mass()));
    Settlement out{sent, share(sent, stated, statement), share(sent, contaminants, statement), sent, {}};
    for (const auto* parts : {&out.stated, &out.contaminants})
        for (const auto& part : *parts) add_to(out.rest, part.key, -part.mass);
    out.tolerance = level_tolerance(statement.gross ? statement.gross->mass : total(sent), {});
    return out;
}

}  // namespace tarebook
