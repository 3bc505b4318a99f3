#include "book/event_step.hpp"

#include "ledger/fold_alone.hpp"

#include <doctest/doctest.h>

#include <array>

using namespace tarebook;

namespace {

// Keeps what it was asked; leaves each cylinder with the place "after".
class Asked : public FoldAlone {
 public:
    Outcome evaluate(const Event& event, const States& before, const Register&) const override {
        states = before;
        Outcome out;
        for (const auto& code : cylinders_of(event)) {
            Effect effect;
            effect.cylinder = code;
            effect.before = before.at(code);
            effect.after = effect.before;
            effect.after.place = "after";
            out.effects.push_back(std::move(effect));
        }
        return out;
    }
    mutable States states;
};

BookId book(std::uint8_t n) {
    BookId id{};
    id[0] = n;
    return id;
}
Event weigh(std::uint8_t of_book, int hour) {
    kinds::Weigh k;
    k.cylinder = "RC-1";
    Event e;
    e.book = book(of_book);
    e.seq = hour + 1;
    e.when.at = Instant(std::chrono::hours(hour));
    e.what = k;
    return e;
}
const std::array<std::string, 1> codes{"RC-1"};

}  // namespace

TEST_CASE("an event meets what other books recorded of its cylinder in the hours before it, by name") {
    Asked asked;
    const RegisterInMemory reg;
    std::vector<std::int64_t> named;
    const Surroundings around{[&](const NearbyRow& kept) {
                                  named.push_back(kept.row);
                                  return "row " + std::to_string(kept.row);
                              },
                              [](const Event&) { return std::optional<Fork>(); },
                              [](const NearbyRow& kept, const std::string&) { return kept.event; }};
    const EventStep step(asked, reg, &around);
    PassedCylinder cylinder;
    const std::array<PassedCylinder*, 1> cylinders{&cylinder};
    const auto pass = [&](const Event& e, std::int64_t row, const std::string& name) {
        step.leave(e, step.judge(e, codes, cylinders, {}), cylinders, row, name);
    };
    pass(weigh(1, 0), 11, {});
    pass(weigh(1, 10), 12, {});
    pass(weigh(2, 20), 13, "another");
    pass(weigh(1, 40), 14, {});
    // of the own book nothing, of the other one what lies within 36 hours
    REQUIRE(asked.states.nearby.contains("RC-1"));
    CHECK(asked.states.nearby.at("RC-1").size() == 1);
    CHECK(asked.states.nearby.at("RC-1").front().event == "another");
    pass(weigh(2, 46), 15, {});
    REQUIRE(asked.states.nearby.at("RC-1").size() == 2);
    CHECK(asked.states.nearby.at("RC-1").front().event == "row 12");
    CHECK(asked.states.nearby.at("RC-1").back().event == "row 14");
    CHECK(named == std::vector<std::int64_t>{11, 12, 12, 14});  // 11: met by the event of hour 20
    CHECK(cylinder.near.size() == 4);                           // that of hour 0 is out of reach for ever
}

TEST_CASE("in one book an event meets what moved about as much, and no other event is read") {
    Asked asked;
    const RegisterInMemory reg;
    std::vector<std::int64_t> read;
    const Surroundings around{[](const NearbyRow& kept) { return "E" + std::to_string(kept.row); },
                              [](const Event&) { return std::optional<Fork>(); },
                              [&](const NearbyRow& kept, const std::string& cylinder) {
                                  read.push_back(kept.row);
                                  CHECK(cylinder == "RC-1");
                                  auto out = kept.event;
                                  out.kind = "recover";
                                  return out;
                              },
                              false};
    const EventStep step(asked, reg, &around);
    PassedCylinder cylinder;
    const auto moved = [&](int hour, std::int64_t row, Mass mass) {
        NearbyRow kept;
        kept.event.order = {Instant(std::chrono::hours(hour)), book(1), row, 0};
        kept.event.moved = mass;
        kept.row = row;
        kept.read = false;
        remember_nearby(cylinder.near, kept);
    };
    moved(1, 11, Mass::pounds(3));
    moved(2, 12, Mass::pounds(30));
    moved(3, 13, -Mass::thousandths_of_a_pound(3500));
    kinds::Recover k;
    k.into = "RC-1";
    k.weighing.net = parse_weight("3lb", ScaleReads::unknown).value();
    auto e = weigh(1, 20);
    e.what = k;
    const std::array<PassedCylinder*, 1> cylinders{&cylinder};
    auto outcome = step.judge(e, codes, cylinders, {});
    REQUIRE(asked.states.nearby.contains("RC-1"));
    const auto& met = asked.states.nearby.at("RC-1");
    REQUIRE(met.size() == 2);
    CHECK(met.front().event == "E11");
    CHECK(met.front().kind == "recover");
    CHECK(met.back().event == "E13");
    CHECK(read == std::vector<std::int64_t>{11, 13});
    step.leave(e, std::move(outcome), cylinders, 14, {});
    CHECK(cylinder.near.size() == 3);  // by this double nothing moved, so that nothing is kept
}

TEST_CASE("where there is nothing around it an event gets the state alone") {
    Asked asked;
    const RegisterInMemory reg;
    const EventStep step(asked, reg, nullptr);
    PassedCylinder cylinder;
    cylinder.state.place = "before";
    const std::array<PassedCylinder*, 1> cylinders{&cylinder};
    const auto e = weigh(1, 3);
    auto outcome = step.judge(e, codes, cylinders, Sent{e.order(), "RC-1", "Reclaimer", {}, false});
    CHECK(asked.states.at("RC-1").place == "before");
    CHECK(asked.states.sent);
    CHECK(asked.states.nearby.empty());
    step.leave(e, std::move(outcome), cylinders, 1, {});
    CHECK(cylinder.state.place == "after");
    CHECK(cylinder.near.empty());
}

TEST_CASE("what a return sent is what it moved to the reclaimer, lot by lot") {
    kinds::Return k;
    k.cylinder = "RC-1";
    k.to = "Hollow Reclaim";
    Event e;
    e.what = k;
    const LotKey virgin{"R-22", "shop", Condition::virgin}, recovered{"R-22", "Elm", Condition::recovered};
    const Account reclaimer{AccountKind::reclaimer, "Hollow Reclaim"}, cylinder{AccountKind::cylinder, "RC-1"};
    const std::array<Posting, 5> postings{{{cylinder, virgin, Mass::from_count(-9)},
                                           {reclaimer, virgin, Mass::from_count(5)},
                                           {reclaimer, virgin, Mass::from_count(4)},
                                           {reclaimer, recovered, Mass::from_count(3)},
                                           {reclaimer, recovered, Mass::from_count(-3)}}};
    const auto sent = sent_by(e, k, postings);
    CHECK(sent.cylinder == "RC-1");
    CHECK(sent.to == "Hollow Reclaim");
    CHECK(sent.lots == Lots{{virgin, Mass::from_count(9)}});
    CHECK_FALSE(sent.settled);
}
