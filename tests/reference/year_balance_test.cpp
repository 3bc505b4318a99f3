// Year balances computed from events, against two worked examples. Method: EPA Center for Corporate Climate Leadership,
// "Direct Fugitive Emissions from Refrigeration, Air Conditioning, Fire Suppression, and Industrial Gases" (November
// 2014), sections 2.3 and 2.4; equations from memory. The numbers are those of rows MB-01 and MB-02 of
// data/us-worked-examples.csv, here told as a year of recordings.
#include <doctest/doctest.h>

#include "support/year_book.hpp"

using namespace tarebook;
using tarebook::test::lb;
using tarebook::test::mass;
using tarebook::test::YearBook;

namespace {

const Instant start = parse_moment("2026-01-01 00:00", "America/Chicago", {}).value().at;
const Instant end = parse_moment("2026-12-31 23:59", "America/Chicago", {}).value().at;

YearBook plant() {
    YearBook b;
    b.entry("2024-01-01 08:00", EntryKind::site, "COLD", {{"owner", {"Meadow Storage", {}}}});
    b.entry("2024-01-01 08:00", EntryKind::cylinder, "TON-1",
            {{"use", {"supply", {}}}, {"refrigerant", {"R-404A", {}}}, {"tare", {"1500lb", mass("1500lb")}}});
    b.entry("2024-01-01 08:00", EntryKind::cylinder, "TON-2",
            {{"refrigerant", {"R-404A", {}}}, {"tare", {"1500lb", mass("1500lb")}}});
    return b;
}
void received(YearBook& b, const std::string& when, const std::string& net) {
    kinds::Receive k;
    k.cylinder = "TON-1", k.from = "Harlan Supply", k.refrigerant = "R-404A";
    k.weighing.net = lb(net);
    b.take(when, k);
}
YearLoss loss_of(YearBook& b) {
    const auto year = b.balance(2026);
    YearLoss out;
    for (const auto& [key, line] : year.equipment) out += equipment_loss(key, line, b.reg(), start, end);
    for (const auto& [key, line] : year.stock) out += stock_loss(line.line);
    return out;
}

}  // namespace

TEST_CASE("MB-01, material balance: 500 lb in stock, 900 bought, 150 sent back, 420 left, 100 lb more of full charge") {
    auto b = plant();
    b.appliance("COLD/A", "R-404A", "6000lb");
    b.appliance("COLD/B", "R-404A", "100lb");
    received(b, "2025-11-01 09:00", "500lb");
    received(b, "2026-02-01 09:00", "900lb");
    b.charge("2026-03-01 09:00", "COLD/B/1", "TON-1", "100lb", Reason::initial);  // new in this year
    b.charge("2026-05-01 09:00", "COLD/A/1", "TON-1", "730lb", Reason::leak);
    kinds::Return k;
    k.cylinder = "TON-1", k.to = "Larkfield Reclaim";
    k.weighing = {lb("2070lb"), lb("1920lb"), {}};  // 150 lb pumped over there
    b.take("2026-10-01 09:00", k);

    const auto loss = loss_of(b).material;
    CHECK(loss.stock_at_start == mass("500lb"));
    CHECK(loss.stock_at_end == mass("420lb"));
    CHECK(loss.full_charge_at_start == mass("6000lb"));
    CHECK(loss.full_charge_at_end == mass("6100lb"));
    // 830 lb went from cylinders into equipment and stand on both sides
    CHECK(loss.acquired - mass("830lb") == mass("900lb"));
    CHECK(loss.disbursed - mass("830lb") == mass("150lb"));
    CHECK(loss.loss() == mass("730lb"));
}

TEST_CASE("MB-02, simplified: 210 lb into new equipment of 200 lb, 640 lb in service, 260 of 300 lb got back") {
    auto b = plant();
    b.appliance("COLD/NEW", "R-404A", "200lb");
    b.appliance("COLD/OLD", "R-404A", "300lb");
    b.appliance("COLD/RACK", "R-404A", "2000lb");
    received(b, "2026-01-05 09:00", "900lb");
    b.charge("2026-02-01 09:00", "COLD/NEW/1", "TON-1", "210lb", Reason::initial);
    b.charge("2026-03-01 09:00", "COLD/RACK/1", "TON-1", "640lb", Reason::leak);
    b.recover("2026-04-01 09:00", "COLD/OLD/1", "TON-2", "260lb", Reason::disposal);

    const auto loss = loss_of(b).simplified;
    CHECK(loss.charged_into_new == mass("210lb"));
    CHECK(loss.full_charge_of_new == mass("200lb"));
    CHECK(loss.used_in_service == mass("640lb"));
    CHECK(loss.full_charge_of_disposed == mass("300lb"));
    CHECK(loss.recovered_from_disposed == mass("260lb"));
    CHECK(loss.loss() == mass("690lb"));
}
