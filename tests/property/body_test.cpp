// Bodies survive the way there and back, byte for byte; states survive being packed.
#include <doctest/doctest.h>
#include <fmt/format.h>

#include <nlohmann/json.hpp>
#include <set>

#include "runs.hpp"
#include "tarebook/ledger/ledger.hpp"
#include "tarebook/units/broken_promise.hpp"

using namespace tarebook;
using namespace tarebook::property;

TEST_CASE("a body read and written again is the same bytes with the same digest (I3, I4)") {
    std::set<std::string, std::less<>> kinds_met;
    holds_for_random_histories("bodies", Moments::may_coincide, 60, [&](const History& history, unsigned) {
        for (const auto& event : recorded_in_two_books(history)) {
            kinds_met.emplace(event.kind());
            const auto body = canonical_body(event);
            // Outside the project: nlohmann's sorted map and compact dump give RFC 8785 for the JSON that a body uses.
            if (nlohmann::json::parse(body).dump() != body) return "not as a JSON library writes it: " + body;
            const auto back = event_from_body(body);
            if (!back) return fmt::format("cannot be read back: {} ({})", body, back.error().seen);
            const auto again = canonical_body(*back);
            if (again != body) return fmt::format("written {}\nagain   {}", body, again);
            if (digest_of(again) != digest_of(body)) return std::string("digest");
            if (back->order() != event.order() || back->kind() != event.kind()) return "order or kind of " + body;
            if (cylinders_of(*back) != cylinders_of(event)) return "cylinders of " + body;
        }
        return std::string();
    });
    if (usual_runs()) CHECK(kinds_met.size() >= 15);
}

TEST_CASE("any cylinder state comes back from its packed bytes, and a shortened one is refused") {
    const auto result = [] {
        CylinderState s;
        const auto gases = rc::gen::element<std::string>("R-22", "R-448A", "unknown", std::string("odd\0name", 8));
        const auto lots = [&](const std::vector<std::int64_t>& masses) {
            std::map<LotKey, Mass> unique;
            for (const auto mass : masses)
                if (mass != 0)
                    unique[{*gases, *rc::gen::arbitrary<std::string>(),
                            static_cast<Condition>(*rc::gen::inRange(0, 4))}] = Mass::from_count(mass);
            Lots out;
            for (const auto& [key, mass] : unique) out.push_back({key, mass});
            return out;
        };
        const auto counts = rc::gen::container<std::vector<std::int64_t>>(
            rc::gen::oneOf(rc::gen::arbitrary<std::int64_t>(),
                           rc::gen::element<std::int64_t>(INT64_MIN, INT64_MAX, -1, 1, 63, 64, -64, -65)));
        s.lots = lots(*counts);
        s.lots_when_lost = lots(*counts);
        if (*rc::gen::arbitrary<bool>()) s.gross = Mass::from_count(*rc::gen::arbitrary<std::int64_t>());
        for (bool* flag : {&s.gone, &s.lost, &s.condemned, &s.leaking, &s.reclaim_only, &s.mixed})
            *flag = *rc::gen::arbitrary<bool>();
        for (std::string* words : {&s.spoiled, &s.place, &s.held_for}) *words = *rc::gen::arbitrary<std::string>();
        if (*rc::gen::arbitrary<bool>()) {
            IdentifiedGas seen;
            seen.book[3] = *rc::gen::arbitrary<std::uint8_t>();
            seen.seq = *rc::gen::arbitrary<std::int64_t>();
            seen.on += std::chrono::days(*rc::gen::inRange(-100'000, 100'000));
            seen.cylinder = *rc::gen::arbitrary<std::string>();
            for (auto* words : {&seen.refrigerant, &seen.composition, &seen.air, &seen.result})
                if (*rc::gen::arbitrary<bool>()) *words = *rc::gen::arbitrary<std::string>();
            s.identified = seen;
        }
        const auto bytes = packed(s);
        RC_ASSERT(unpacked(bytes) == s);
        RC_ASSERT(packed(unpacked(bytes)) == bytes);
        for (std::size_t n = 0; n < bytes.size(); ++n) {
            bool refused = false;
            try {
                static_cast<void>(unpacked(std::string_view(bytes).substr(0, n)));
            } catch (const BrokenPromise&) {
                refused = true;
            }
            RC_ASSERT(refused);
        }
        RC_ASSERT_THROWS_AS(unpacked(bytes + "x"), BrokenPromise);
    };
    holds("packed states", 100, result);
}
