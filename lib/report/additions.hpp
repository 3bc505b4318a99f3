// What moved into and out of circuits, and the additions from which a leak rate is computed.
//
// An addition is, per appliance and job, charged + reused + pumped in - recovered - pumped out, if that is positive: a
// charge that was taken out for a valve and put back is no leak. Events without a job are grouped by appliance and
// local day. A release is no part of it, because the make-up charge already counts it.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "columns.hpp"
#include "tarebook/book/book.hpp"

namespace tarebook::report {

struct Sums {
    Mass recovered, reused, charged, released;
    Mass moved_in, moved_out;  ///< pumped over between appliances, by estimate
    [[nodiscard]] Mass put_in() const { return charged + reused + moved_in; }
    [[nodiscard]] Mass taken_out() const { return recovered + moved_out; }
    /// Put in minus taken out; releases apart.
    [[nodiscard]] Mass net() const { return put_in() - taken_out(); }
    void take(const Flow& flow);
};

struct Addition {
    std::string appliance;
    std::optional<std::string> job;
    Date date{};              ///< of the group's last movement in the period
    std::string refrigerant;  ///< the one with the largest mass put in
    Mass mass;
};

/// The additions that belong to from..to. Precondition: `flows` are those of whole jobs. A job may begin before the
/// period, so each group counts its net at the end of `to` less its net before `from`, and at least zero.
std::vector<Addition> additions(const std::vector<Flow>& flows, Date from, Date to);

/// A line under a table whose net includes what was pumped over between appliances; empty if nothing was.
std::string pumped_text(std::string_view circuit, const Sums& sums, DisplayUnits units);

const Columns<Sums>& sums_columns();
using CircuitSums = std::pair<const std::string, Sums>;
const Columns<CircuitSums>& circuit_columns();

inline constexpr Date beginning{std::chrono::days(-200'000)};

}  // namespace tarebook::report
