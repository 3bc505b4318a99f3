// What a prompt offers first is what Enter takes: over random books no such cylinder is one that the checks refuse for
// the task that was asked about.
#include <doctest/doctest.h>
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "book/transaction.hpp"
#include "random_book.hpp"
#include "runs.hpp"
#include "support/book_room.hpp"
#include "tarebook/checks/checks.hpp"
#include "tarebook/report/offers.hpp"

using namespace tarebook;
using namespace tarebook::property;

namespace offers_test {
namespace {

Event event_at(Instant at, What what) {
    Event e;
    e.when.at = at;
    e.when.zone = "UTC";
    e.recorded = at;
    e.what = std::move(what);
    return e;
}

// What the checks refuse in the act; empty where they would record it. Nothing is recorded.
std::string refused_at(Instant at, Book& book, What act) {
    std::vector<Event> drafts{event_at(at, std::move(act))};
    auto transaction = Book::Transaction::begin(book);
    for (const auto& outcome : transaction.judge(drafts, judge_of_random_books()))
        for (const auto& f : outcome.findings)
            if (f.severity == Severity::refusal) return fmt::format("{}: {}", f.check, f.text);
    return {};
}

Weighing little() {
    return {{}, {}, parse_weight("0.1lb", ScaleReads::unknown).value()};
}

template <class Put>
What put(const std::string& circuit, const std::string& from) {
    Put k;
    k.circuit = circuit;
    k.from = from;
    k.weighing = little();
    return k;
}
What recover(const std::string& circuit, const std::string& into) {
    kinds::Recover k;
    k.circuit = circuit;
    k.into = into;
    k.weighing = little();
    return k;
}
What transfer(const std::string& from, const std::string& into) {
    kinds::Transfer k;
    k.from = from;
    k.into = into;
    k.from_weighing = little();
    return k;
}
What send(const std::string& cylinder) {
    kinds::Return k;
    k.cylinder = cylinder;
    k.to = "Westmark Reclaim";
    return k;
}

constexpr std::array circuits = {"OAK/RACK-A/1", "OAK/RACK-B/1", "ELM/UNIT-1/1", "ASH/COLD-1/1"};
int offered = 0;

std::string no_default_is_refused(const History& history, unsigned) {
    const test::BookRoom room;
    auto book = book_of(room.book("book"), history);
    const auto today = day_after(history);
    const PageOptions options{Format::text, DisplayUnits::lb, today};
    const auto refused = [&](Book& of, What act) { return refused_at(today, of, std::move(act)); };
    const auto first = [&](const CylinderQuestion& question) {
        const auto offers = offered_cylinders(book, question, options);
        if (!offers.empty()) ++offered;
        return offers.empty() ? std::string() : offers.front().code;
    };
    const auto wrong = [](const std::string& act, const std::string& why) {
        return why.empty() ? why : act + " is offered, and refused: " + why;
    };
    for (const std::string circuit : circuits) {
        if (const auto code = first({CylinderTask::fill, circuit}); !code.empty())
            if (auto why = wrong("recover " + circuit + " into " + code, refused(book, recover(circuit, code)));
                !why.empty())
                return why;
        if (const auto code = first({CylinderTask::charge, circuit}); !code.empty())
            if (auto why =
                    wrong("charge " + circuit + " from " + code, refused(book, put<kinds::Charge>(circuit, code)));
                !why.empty())
                return why;
        if (const auto code = first({CylinderTask::reuse, circuit}); !code.empty())
            if (auto why = wrong("reuse " + circuit + " from " + code, refused(book, put<kinds::Reuse>(circuit, code)));
                !why.empty())
                return why;
    }
    if (const auto from = first({CylinderTask::draw}); !from.empty())
        if (const auto into = first({CylinderTask::fill, {}, from}); !into.empty())
            if (auto why = wrong("transfer " + from + " into " + into, refused(book, transfer(from, into)));
                !why.empty())
                return why;
    if (const auto code = first({CylinderTask::send}); !code.empty())
        return wrong("return " + code, refused(book, send(code)));
    return {};
}

}  // namespace

TEST_CASE("no cylinder that a prompt offers first is one that the checks refuse") {
    holds_for_random_histories("offers", Moments::distinct, 40, no_default_is_refused);
    if (usual_runs()) CHECK(offered > 40);
}

}  // namespace offers_test
