// A small book in memory for tests about years: events are taken in the order in which they are given.
#pragma once

#include <string>
#include <vector>

#include "tarebook/year/year.hpp"

namespace tarebook::test {

inline Weight lb(const std::string& typed) {
    return parse_weight(typed, ScaleReads::lb).value();
}
inline Mass mass(const std::string& typed) {
    return lb(typed).mass;
}

class YearBook {
 public:
    /// `when`: local clock of Chicago, "2026-12-31 23:30".
    void take(const std::string& when, What what) {
        Event e;
        e.seq = static_cast<std::int64_t>(events_.size()) + 1;
        e.when = parse_moment(when, "America/Chicago", {}).value();
        e.recorded = e.when.at;
        e.what = std::move(what);
        reg_.apply(e);
        events_.push_back(std::move(e));
    }
    void entry(const std::string& when, EntryKind kind, const std::string& code, FieldValues values) {
        take(when, kinds::Entry{kind, code, true, std::move(values)});
    }
    void appliance(const std::string& code, const std::string& gas, const std::string& full_charge) {
        entry("2024-01-01 08:00", EntryKind::appliance, code,
              {{"refrigerant", {gas, {}}}, {"full_charge", {full_charge, mass(full_charge)}}});
    }
    void charge(const std::string& when, const std::string& circuit, const std::string& from, const std::string& net,
                Reason reason) {
        kinds::Charge k;
        k.circuit = circuit, k.from = from, k.reason = reason;
        k.weighing.net = lb(net);
        take(when, k);
    }
    void recover(const std::string& when, const std::string& circuit, const std::string& into, const std::string& net,
                 Reason reason) {
        kinds::Recover k;
        k.circuit = circuit, k.into = into, k.reason = reason;
        k.weighing.net = lb(net);
        take(when, k);
    }

    [[nodiscard]] const RegisterInMemory& reg() const { return reg_; }
    /// The fold, then the sums of the year.
    YearBalance balance(int year) {
        postings_.clear();
        bodies_.clear();
        States states;
        for (const auto& event : events_) {
            for (const auto& code : cylinders_of(event)) states.try_emplace(code);
            auto outcome = fold_one(event, states, reg_);
            for (const auto& effect : outcome.effects) states[effect.cylinder] = effect.after;
            postings_.push_back(std::move(outcome.postings));
            bodies_.push_back(canonical_body(event));
        }
        YearSums sums{std::chrono::year(year), reg_};
        for (std::size_t i = 0; i < events_.size(); ++i) {
            std::vector<YearPosting> postings;
            for (const auto& p : postings_[i]) postings.push_back({&p.account, &p.lot, p.mass});
            const auto& e = events_[i];
            sums.take({bodies_[i], e.order(), e.when.date(), e.kind(), postings});
        }
        return sums.balance();
    }

 private:
    RegisterInMemory reg_;
    std::vector<Event> events_;
    std::vector<std::vector<Posting>> postings_;
    std::vector<std::string> bodies_;
};

}  // namespace tarebook::test
