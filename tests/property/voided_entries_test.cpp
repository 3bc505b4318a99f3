// Entries of cylinders that are voided while gas is in them, or while another book has filled them: random acts of an
// office and a truck, some entered late, bundles between them. After each act the projections, the findings of every
// void among them, must be what the fold makes of the bodies alone (I5); and whatever gas the book has in a cylinder is
// in the list of cylinders.
#include <doctest/doctest.h>
#include <fmt/format.h>
#include <unistd.h>

#include <filesystem>
#include <random>
#include <set>

#include "runs.hpp"
#include "tarebook/bundle.hpp"
#include "tarebook/checks.hpp"
#include "tarebook/record.hpp"

using namespace tarebook;
using namespace tarebook::property;
namespace fs = std::filesystem;

namespace {

Moment minute(int n) {
    Moment m;
    m.at = std::chrono::sys_days(std::chrono::year(2026) / 3 / 2) + std::chrono::minutes(n);
    m.zone = "UTC";
    return m;
}
Weight pounds(int tenths) {
    return parse_weight(fmt::format("{}.{}lb", tenths / 10, tenths % 10), ScaleReads::unknown).value();
}

// One file, and a folder for its bundles.
class Desk {
 public:
    Desk(fs::path file, const std::optional<BookId>& shop)
        : file_(std::move(file)),
          book_(Book::create(file_, "Pelican Refrigeration", DisplayUnits::lb, "UTC", minute(0), shop)) {
        entry(EntryKind::site, "OAK", {{"owner", {"Quillpost Markets", {}}}}, 1, 1);
        entry(EntryKind::appliance, "OAK/R", {{"refrigerant", {"R-448A", {}}}}, 1, 1);
    }
    bool take(What what, int when, int now) {
        Event e;
        e.when = minute(when);
        e.recorded = minute(now).at;
        e.what = std::move(what);
        return record(book_, {e}, {.anyway = "it happened"}).has_value();
    }
    bool entry(EntryKind kind, const std::string& code, FieldValues values, int when, int now) {
        return take(kinds::Entry{kind, code, true, std::move(values)}, when, now);
    }
    [[nodiscard]] Book& book() { return book_; }

    // Empty where the book is what its bodies say, and no gas is hidden.
    std::string wrong() {
        const auto check = book_.check(Judge(Notes::left_out));
        if (!check.problems.empty()) return check.problems.front();
        for (const auto& remark : check.remarks)
            if (remark.find("exceptions") != std::string::npos) return remark;
        std::set<std::string> listed;
        book_.each_cylinder([&](CylinderNow&& c) {
            listed.insert(c.code);
            if (!c.in_register) ++unregistered;
        });
        for (const auto& balance : book_.balances())
            if (balance.account.kind == AccountKind::cylinder && !balance.mass.is_zero() &&
                !listed.contains(balance.account.code))
                return "gas in " + balance.account.code + " is in no list";
        return {};
    }
    std::size_t unregistered = 0;

 private:
    fs::path file_;
    Book book_;
};

void random_act(Desk& desk, std::mt19937& dice, int now) {
    const auto roll = [&](int from, int to) { return std::uniform_int_distribution<int>(from, to)(dice); };
    const int when = roll(0, 2) == 0 ? roll(2, now) : now;
    const auto code = fmt::format("RC-{}", roll(1, 2));
    const int before = roll(200, 300), after = before + roll(0, 150);
    switch (roll(0, 8)) {
        case 0:
        case 1: {
            FieldValues values{{"use", {"recovery", {}}}};
            if (roll(0, 2)) values["tare"] = {"20lb", Mass::pounds(20)};
            if (roll(0, 1)) values["refrigerant"] = {"R-448A", {}};
            desk.entry(EntryKind::cylinder, code, values, when, now);
            return;
        }
        case 2: {
            kinds::Recover k;
            k.circuit = "OAK/R";
            k.into = code;
            k.weighing = {pounds(before), pounds(after), {}};
            desk.take(k, when, now);
            return;
        }
        case 3: {
            kinds::Reuse k;
            k.circuit = "OAK/R";
            k.from = code;
            k.weighing = {pounds(after), pounds(before), {}};
            desk.take(k, when, now);
            return;
        }
        case 4:
            desk.take(kinds::Weigh{code, pounds(after)}, when, now);
            return;
        case 5: {
            kinds::Requalify k;
            k.cylinder = code;
            k.tested = "2025-06";
            desk.take(k, when, now);
            return;
        }
        default: {
            const auto target = desk.book().event(roll(4, std::max(4, static_cast<int>(desk.book().event_count()))));
            if (target && !std::holds_alternative<kinds::Merge>(target->event.what))
                desk.take(kinds::Void{hex(target->digest), "by mistake"}, when, now);
        }
    }
}

}  // namespace

TEST_CASE("a voided entry of a cylinder: the book stays what its bodies say, and no gas is hidden") {
    std::size_t found = 0, taken_on = 0, unregistered = 0;
    holds("voided entries", 25, [&] {
        std::mt19937 dice(*rc::gen::resize(100, rc::gen::inRange(0U, 1'000'000'000U)));
        const int acts = *rc::gen::inRange(1, 40);
        const auto base = ::access("/dev/shm", W_OK) == 0 ? fs::path("/dev/shm") : fs::temp_directory_path();
        const auto folder = base / fmt::format("tarebook-voided-{}", ::getpid());
        fs::remove_all(folder);
        fs::create_directory(folder);
        {
            Desk office(folder / "office", {});
            Desk truck(folder / "truck", office.book().info().shop);
            REQUIRE(office.take(kinds::Trust{hex(truck.book().info().id), truck.book().info().public_key, "truck", {}},
                                1, 1));
            for (int i = 0; i < acts; ++i) {
                const int now = 10 + 10 * i;
                auto& desk = dice() % 2 ? office : truck;
                random_act(desk, dice, now);
                if (const auto wrong = desk.wrong(); !wrong.empty()) RC_FAIL(wrong);
                if (dice() % 4 != 0) continue;
                const auto bundle = folder / fmt::format("bundle-{}", i);
                REQUIRE(send_bundle(truck.book(), bundle, {}, minute(now).at));
                const auto merged = merge_bundles(office.book(), {bundle}, minute(now));
                if (!merged) RC_FAIL(merged.error().error.what);
                if (const auto wrong = office.wrong(); !wrong.empty()) RC_FAIL("after a merge: " + wrong);
            }
            for (auto* desk : {&office, &truck}) {
                for (const auto& f : desk->book().open_findings())
                    if (f.finding.check == "entry-holds-gas") ++(f.finding.accepted.empty() ? found : taken_on);
                unregistered += desk->unregistered;
            }
        }
        fs::remove_all(folder);
    });
    CHECK(taken_on > 0);
    CHECK(found > 0);
    CHECK(unregistered > 0);
}
