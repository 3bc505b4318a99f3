// What moved in and out of circuits, and the additions that a leak rate stands on.
//
// An addition is, per appliance and job, charged + reused + pumped in - recovered - pumped out where that is positive:
// a charge taken out for a valve and put back is no leak. Events without a job are grouped by appliance and local day.
// A release is information and never part of it, because the make-up charge already counts it.
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
    Sums& operator+=(const Sums& other);
};

struct Addition {
    std::string appliance;
    std::optional<std::string> job;
    Date date{};              ///< of the group's last movement that the period sees
    std::string refrigerant;  ///< the one of which most was put in
    Mass mass;
};

/// The additions that fall into from..to. `flows` are those of whole jobs: a job may span the edge of a period, so each
/// group counts what it had become by the end of `to`, less what it had been before `from`; never less than nothing.
std::vector<Addition> additions(const std::vector<Flow>& flows, Date from, Date to);

/// A line under a table whose net counts what was pumped over between appliances; empty where nothing was.
std::string pumped_text(std::string_view circuit, const Sums& sums, DisplayUnits units);

const Columns<Sums>& sums_columns();

/// Sum by appliance.
std::map<std::string, Mass> additions_by_appliance(const std::vector<Addition>& additions);

inline constexpr Date beginning{std::chrono::days(-200'000)};

}  // namespace tarebook::report
