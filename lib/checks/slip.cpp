#include "slip.hpp"

#include "tarebook/units/weight_slips.hpp"

namespace tarebook::checks {
namespace {

ScaleReads scale_reads(const Context& c) {
    if (!c.event.scale) return ScaleReads::unknown;
    const auto* scale = c.reg.find(EntryKind::scale, *c.event.scale);
    const auto reads = scale ? scale->text("reads", c.order) : std::nullopt;
    if (reads == "lb") return ScaleReads::lb;
    if (reads == "kg") return ScaleReads::kg;
    return ScaleReads::unknown;
}

}  // namespace

std::string slip_that_explains(const Gap& gap, const Context& c) {
    for (const auto& meant : weights_that_may_be_meant({gap.read_gross, gap.read_typed}, scale_reads(c))) {
        // The texts of exceptions in existing books do not name these slips, and must stay the same: a stocktake names
        // them.
        if (meant.slip == Slip::ounces_as_tenths || meant.slip == Slip::tenths_as_ounces) continue;
        if ((meant.mass - gap.expected_gross).magnitude() <= gap.tolerance) return std::string(text_of(meant.slip));
    }
    return {};
}

std::optional<Mass> meant_by_swapped_digits(const Gap& gap, const Context& c, Mass division) {
    for (const auto& meant : weights_that_may_be_meant({gap.read_gross, gap.read_typed}, scale_reads(c)))
        if (meant.slip == Slip::digits_swapped && meant.mass.count() % division.count() == 0 &&
            (meant.mass - gap.expected_gross).magnitude() <= division)
            return meant.mass;
    return std::nullopt;
}

}  // namespace tarebook::checks
