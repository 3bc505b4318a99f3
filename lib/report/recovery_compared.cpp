// A recovery compared with the estimate from its circuit's piping.
#include <fmt/format.h>

#include <algorithm>

#include "expected.hpp"
#include "shared_text.hpp"
#include "table.hpp"

namespace tarebook::report {
namespace {

/// What the job says about the circuit before this recovery.
struct Before {
    std::optional<PressureReading> pumped_down_to;
    Mass recovered;  ///< since it was pumped down or filled last
};
Before before(const Book& book, const Event& recovery, const std::string& circuit) {
    Before out;
    if (!recovery.job) return out;
    auto events = book.events_of_job(*recovery.job);
    std::stable_sort(events.begin(), events.end(),
                     [](const StoredEvent& a, const StoredEvent& b) { return a.event.order() < b.event.order(); });
    for (const auto& stored : events) {
        if (stored.voided_by || !(stored.event.order() < recovery.order())) continue;
        const auto& what = stored.event.what;
        const auto* down = std::get_if<kinds::Pumpdown>(&what);
        const auto* charge = std::get_if<kinds::Charge>(&what);
        const auto* reuse = std::get_if<kinds::Reuse>(&what);
        const kinds::Put* put = charge ? static_cast<const kinds::Put*>(charge) : reuse;
        if (down && down->circuit == circuit) {
            out = {reading_of(down->left), Mass()};
        } else if (put && put->circuit == circuit) {
            out = {};
        } else if (std::holds_alternative<kinds::Recover>(what)) {
            for (const auto& flow : flows_of(book, stored))
                if (flow.circuit == circuit) out.recovered -= flow.mass;
        }
    }
    return out;
}

}  // namespace

std::string_view RecoveryCompared::word() const {
    return verdict == Verdict::under ? "under" : verdict == Verdict::over ? "over" : "within";
}

std::string RecoveryCompared::usual() const {
    if (verdict == Verdict::under)
        return view.vapor_only
                   ? "a service valve not fully open, a depressor left in a hose, less piping than on record"
                   : "it was pumped down first (record that: tarebook pumpdown C --left P), a valve not "
                     "fully open, liquid trapped in a coil or riser: see whether the pressure comes back";
    if (verdict == Verdict::over)
        return view.vapor_only ? "liquid stayed in a coil or riser, a shut valve passes, more piping than on record"
                               : "a shut valve passes, another circuit is open to it, more piping than on record";
    return {};
}

std::optional<RecoveryCompared> compare_recovery(const Book& book, const Event& recovery, Mass recovered,
                                                 DisplayUnits units) {
    const auto* k = std::get_if<kinds::Recover>(&recovery.what);
    if (!k || !has_piping(book, k->circuit)) return std::nullopt;
    ExpectQuestion question;
    question.circuit = k->circuit;
    const auto earlier = before(book, recovery, k->circuit);
    question.pressure = earlier.pumped_down_to;
    question.left = reading_of(k->vacuum);
    if (!question.left) {
        question.left = reading_of("0psig");
        if (units == DisplayUnits::kg) question.left->typed = "0 barg";
    }
    auto view = expect_view(book, question, units);
    if (!view) return std::nullopt;
    const auto left = view->left.front();
    const auto range = ExpectView::range(view->to_recover(left));
    using Verdict = RecoveryCompared::Verdict;
    recovered += earlier.recovered;
    const auto verdict = recovered < range.low    ? Verdict::under
                         : range.high < recovered ? Verdict::over
                                                  : Verdict::within;
    return RecoveryCompared{std::move(*view), left, range, recovered, earlier.recovered, verdict};
}

std::string compared_text(const RecoveryCompared& c, DisplayUnits units) {
    const auto with = c.before.is_zero() ? "" : fmt::format(" (with {} before it)", estimate_text(c.before, units));
    std::string out = wrapped(
        fmt::format("expected from the piping: {} to {}, {} of it to stay at {} ({}); {}{} is {} that range{}",
                    estimate_text(c.range.low, units), estimate_text(c.range.high, units),
                    estimate_text(c.left.mass, units), c.left.at, range_words, estimate_text(c.recovered, units), with,
                    c.word(), c.usual().empty() ? "" : "; usually: " + c.usual()),
        0);
    for (const auto& line : c.view.assumed) out += bulleted(line);
    return out;
}

Json compared_json(const RecoveryCompared& c) {
    auto j = expect_json(c.view);
    return std::move(add_facts(j, {{"comparison", c.word()}, {"usual_cause", c.usual()}}));
}

}  // namespace tarebook::report
