#include "appliance_rows.hpp"

#include <algorithm>

#include "report/shared_text.hpp"
#include "report/year_view.hpp"

namespace tarebook::analysis {
namespace {

// "OAK/RACK-A" of OAK/RACK-A/4, as appliance_of says it.
std::string_view appliance_code_in(std::string_view place) {
    const auto site = place.find('/');
    if (site == std::string_view::npos) return place;
    return place.substr(0, place.find('/', site + 1));
}

}  // namespace

Years years_of(const BookMark& mark) {
    const auto year = [](Instant at, std::chrono::hours off) {
        return static_cast<int>(std::chrono::year_month_day(std::chrono::floor<std::chrono::days>(at + off)).year());
    };
    return {year(mark.first_at, -std::chrono::hours(24)), year(mark.last_at, std::chrono::hours(24))};
}

ApplianceRows::ApplianceRows(const Book& book, AnalystsDb& file, const Years& years)
    : book_(book),
      additions_(file, "base_addition",
                 {"appliance", "n", "event", "date", "job", "leak", "added", "excluded", "excluded_for", "full_charge",
                  "days", "method", "rate", "threshold", "exceeded", "rule", "rule_status", "formula", "events"},
                 1, 2),
      losses_(file, "base_loss",
              {"appliance", "year", "refrigerant", "owner", "material_loss", "simplified_loss", "acquired", "disbursed",
               "full_charge_at_start", "full_charge_at_end", "left_out_at_start", "left_out_at_end"},
              1, 4),
      first_year_(years.first),
      owners_(book.entries()) {
    for (int y = years.first; y <= years.last; ++y) {
        const std::chrono::year year(y);
        years_.push_back(std::make_unique<YearSums>(year, book.entries()));
        ends_.emplace_back(report::midnight(book, Date(year / 1 / 1)),
                           report::midnight(book, Date((year + std::chrono::years(1)) / 1 / 1)));
    }
}

std::uint32_t ApplianceRows::number_of(std::string_view text) {
    if (text.empty()) return 0;
    if (const auto it = numbers_.find(text); it != numbers_.end()) return it->second;
    const auto number = static_cast<std::uint32_t>(texts_.size());
    texts_.emplace_back(text);
    numbers_.emplace(std::string(text), number);
    return number;
}

void ApplianceRows::take(const BookedEvent& e, const ReadEvent& read, std::string_view only) {
    own_.clear();
    for (const auto& m : *read.movements)
        if (m.equipment && (only.empty() || appliance_code_in(m.place) == only)) own_.push_back(m);
    if (own_.empty()) return;
    for (auto& year : years_) year->take_equipment(e.order, e.day, own_);
    // Of few movements more is asked than their columns say.
    std::uint32_t leak = 0;
    std::optional<Percent> destroyed;
    if (read.words.reason == Reason::purged || e.stored.body.find(R"("leak":")") != std::string_view::npos) {
        auto event = tarebook::read(e.stored).event;
        event.branch = e.order.branch;
        leak = number_of(book_.leak_named_in(event));
        destroyed = report::destroyed_by(event);
    }
    for (const auto& m : own_) {
        auto*& list = moved_at_[m.place.data()];
        if (!list) list = &moved_[std::string(appliance_code_in(m.place))];
        if (m.term == Term::released) continue;  // no addition, but the appliance has a line
        list->push_back({e.order, e.day, *m.equipment, e.stored.id, number_of(read.row.job),
                         m.term == Term::recovered ? 0 : leak, m.reason, destroyed});
    }
}

void ApplianceRows::sort_lines() {
    if (!lines_.empty()) return;
    for (const auto& year : years_) {
        auto& lines = lines_.emplace_back();
        for (auto& [key, line] : year->balance().equipment) lines[key.appliance].push_back({key, line});
    }
}

void ApplianceRows::write_all() {
    std::set<std::string> all;
    for (auto& code : book_.codes(EntryKind::appliance)) all.insert(std::move(code));
    for (const auto& [code, list] : moved_) all.insert(code);
    write(all);
}

void ApplianceRows::write(const std::set<std::string>& appliances) {
    if (appliances.empty()) return;
    sort_lines();
    const report::LeakLog log(book_);
    for (const auto& code : appliances) {
        write_additions(code, log);
        write_losses(code);
    }
}

void ApplianceRows::write_additions(const std::string& appliance, const report::LeakLog& log) {
    additions_.begin(appliance);
    if (const auto moved = moved_.find(appliance); moved != moved_.end()) {
        std::vector<report::KnownMovement> known;
        known.reserve(moved->second.size());
        for (const auto& m : moved->second) {
            known.push_back(
                {{m.on, {}, m.mass, m.reason, texts_[m.leak], std::to_string(m.event)}, {}, m.order, m.destroyed});
            if (m.job != 0) known.back().movement.job = texts_[m.job];
        }
        std::int64_t n = 0;
        for (const auto& a : report::leak_record(book_, appliance, known, log).rated) {
            const auto& addition = a.addition;
            std::vector<std::string> excluded;
            for (const auto reason : addition.excluded_reasons) excluded.emplace_back(text_of(reason));
            const auto threshold =
                a.threshold ? std::optional(a.threshold->as<terms::LeakRateThreshold>().threshold) : std::nullopt;
            const auto& sources = addition.sources;
            additions_.row(
                appliance, ++n,
                a.event.empty() ? std::optional<std::int64_t>() : std::optional<std::int64_t>(std::stoll(a.event)),
                date_text(addition.on), addition.job, addition.leak, addition.mass, addition.excluded, joined(excluded),
                a.rate ? std::optional(a.rate->full_charge) : std::nullopt,
                a.rate ? std::optional<std::int64_t>(a.rate->days) : std::nullopt,
                a.rate ? text_of(a.rate->method) : std::string_view(),
                a.rate ? std::optional(a.rate->rate.in_percent()) : std::nullopt,
                threshold ? std::optional(std::stod(threshold->text())) : std::nullopt,
                a.rate && threshold ? std::optional(a.exceeded) : std::nullopt,
                a.threshold ? a.threshold->rule->clause : std::string(),
                a.threshold ? key_of(a.threshold->status()) : std::string_view(),
                a.rate ? formula_text(*a.rate) : std::string(), joined(sources, " "));
        }
    }
    additions_.end();
}

void ApplianceRows::write_losses(const std::string& appliance) {
    losses_.begin(appliance);
    const auto* entry = book_.entries().find(EntryKind::appliance, appliance);
    for (std::size_t y = 0; y < years_.size(); ++y) {
        const auto& [start, end] = ends_[y];
        const auto last = end - std::chrono::seconds(1);
        const auto at_end = report::order_at(last);
        std::map<EquipmentKey, YearLine> lines;
        if (const auto it = lines_[y].find(appliance); it != lines_[y].end())
            for (const auto& line : it->second) lines.emplace(line.key, line.line);
        // An appliance that nothing moved in may have lost by its full charge.
        if (entry)
            for (const auto& when : {OrderKey{start, {}, 0}, at_end})
                if (const auto gas = entry->text("refrigerant", when))
                    lines.try_emplace({*gas, std::string(owners_.owner_of(appliance, at_end)), appliance});
        for (const auto& [key, line] : lines) {
            const auto loss = equipment_loss(key, line, book_.entries(), start, last);
            const auto& m = loss.material;
            losses_.row(appliance, first_year_ + static_cast<int>(y), key.refrigerant, key.owner, m.loss(),
                        loss.simplified.loss(), m.acquired, m.disbursed, m.full_charge_at_start, m.full_charge_at_end,
                        m.left_out_at_start, m.left_out_at_end);
        }
    }
    losses_.end();
}

void ApplianceRows::finish() {
    additions_.finish();
    losses_.finish();
}

}  // namespace tarebook::analysis
