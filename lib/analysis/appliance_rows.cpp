#include "appliance_rows.hpp"

#include <algorithm>

#include "report/shared_text.hpp"
#include "report/year_view.hpp"

namespace tarebook::analysis {
namespace {

// A file that is made takes what moved as it comes, and sorts it once.
constexpr const char* unsorted = "unsorted_equipment";
Table table_of_moves(AnalystsDb& file) {
    if (file.fresh) file.db.script("CREATE TEMP TABLE unsorted_equipment AS SELECT * FROM base_equipment WHERE 0");
    return {file,
            file.fresh ? unsorted : "base_equipment",
            {"appliance", "at", "origin", "seq", "n", "event", "day", "mass", "term", "basis", "reason", "refrigerant",
             "job", "leak", "destroyed"},
            4,
            5};
}

template <class T>
std::int64_t number_of(T word) {
    return static_cast<std::int64_t>(word);
}

// Kinds of events that bear on an appliance by what they move, and by nothing else.
bool only_moves(const Event& event) {
    return std::holds_alternative<kinds::Recover>(event.what) || std::holds_alternative<kinds::Charge>(event.what) ||
           std::holds_alternative<kinds::Reuse>(event.what) || std::holds_alternative<kinds::Release>(event.what) ||
           std::holds_alternative<kinds::Pumpdown>(event.what) || std::holds_alternative<kinds::Evacuate>(event.what);
}

// What is put back makes additions of earlier jobs larger; without it they are smaller again.
bool puts_back(const Event& event) {
    return std::visit(
        [](const auto& k) {
            if constexpr (requires { k.reason == Reason::put_back; })
                return k.reason == Reason::put_back;
            else
                return false;
        },
        event.what);
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
      file_(file),
      moves_(table_of_moves(file)),
      additions_(file, "base_addition",
                 {"appliance", "n", "event", "date", "job", "leak", "added", "excluded", "excluded_for", "full_charge",
                  "days", "method", "rate", "threshold", "exceeded", "rule", "rule_status", "formula", "events"},
                 2, 2, Unit::from_key),
      losses_(file, "base_loss",
              {"appliance", "year", "refrigerant", "owner", "material_loss", "simplified_loss", "acquired", "disbursed",
               "full_charge_at_start", "full_charge_at_end", "left_out_at_start", "left_out_at_end"},
              2, 4, Unit::from_key),
      years_(years),
      owners_(book.entries()) {
    for (int y = years.first; y <= years.last; ++y) {
        const std::chrono::year year(y);
        ends_.emplace_back(report::midnight(book, Date(year / 1 / 1)),
                           report::midnight(book, Date((year + std::chrono::years(1)) / 1 / 1)));
    }
}

const std::string& ApplianceRows::kept(std::string_view text) {
    const auto it = texts_.find(text);
    return it == texts_.end() ? *texts_.emplace(text).first : *it;
}

// Codes of places are kept by the book for as long as events are read.
const std::string& ApplianceRows::appliance_at(std::string_view place) {
    auto*& known = appliances_at_[place.data()];
    if (!known) {
        known = &kept(appliance_in(place));
        moved_at_.insert(*known);
    }
    return *known;
}

void ApplianceRows::put_row(Table& table, const std::string& appliance, std::int64_t n, const BookedEvent& e,
                            const ReadEvent& read, const YearMovement& m) {
    const auto place = place_in_file(e.order);
    const auto [leak, share] = report::moved_for(book_, e, m);
    const auto destroyed = share ? std::optional(share->in_thousandths()) : std::nullopt;
    table.row(appliance, place.at, place.origin, place.seq, n, e.stored.id,
              std::int64_t{e.day.time_since_epoch().count()}, *m.equipment, number_of(m.term), number_of(m.basis),
              number_of(m.reason), m.refrigerant, read.row.job, leak, destroyed);
}

void ApplianceRows::take(const BookedEvent& e, const ReadEvent& read) {
    std::int64_t n = 0;
    for (const auto& m : *read.movements)
        if (m.equipment) put_row(moves_, appliance_at(m.place), ++n, e, read, m);
}

void ApplianceRows::write_all() {
    moves_.finish();
    file_.db.script(
        "INSERT INTO base_equipment SELECT * FROM temp.unsorted_equipment ORDER BY appliance, at, origin, seq, n; DROP "
        "TABLE temp.unsorted_equipment");
    for (auto& code : book_.codes(EntryKind::appliance)) moved_at_.insert(std::move(code));
    for (const auto& appliance : moved_at_) write(appliance, {true, {}, {}});
}

void ApplianceRows::change(const Event& event, const std::set<std::string>& appliances, const BookedEvent* e,
                           const ReadEvent* read) {
    const auto place = place_in_file(event.order());
    for (const auto& appliance : appliances) {
        auto& changed = changed_[appliance];
        changed.all = changed.all || !only_moves(event) || puts_back(event);
        const auto day = event.when.date();
        changed.from = std::min(changed.from.value_or(day), day);
        if (event.job) changed.jobs.insert(*event.job);
        moves_.begin(appliance, place.at, place.origin, place.seq);
        std::int64_t n = 0;
        if (read)
            for (const auto& m : *read->movements)
                if (m.equipment && ++n > 0 && appliance_in(m.place) == appliance)
                    put_row(moves_, appliance, n, *e, *read, m);
        moves_.end();
    }
}

void ApplianceRows::write_changed() {
    for (const auto& [appliance, changed] : changed_) write(appliance, changed);
}

void ApplianceRows::write(const std::string& appliance, const Changed& changed) {
    read_moved(appliance);
    write_additions(appliance, changed);
    const auto first_of = [](Date day) { return static_cast<int>(std::chrono::year_month_day(day).year()); };
    write_losses(appliance, changed.all ? years_.first : std::max(years_.first, first_of(*changed.from)));
}

void ApplianceRows::read_moved(const std::string& appliance) {
    known_.clear();
    moved_.clear();
    const std::string_view code = kept(appliance);
    std::string_view gas;
    for (auto s = file_.db.ask("SELECT at, origin, seq, event, day, mass, term, basis, reason, refrigerant, job, leak, "
                               "destroyed FROM base_equipment WHERE appliance = ? ORDER BY at, origin, seq, n",
                               appliance);
         s.next();) {
        auto& moved = moved_.emplace_back();
        moved.order = book_.order_at({s.integer(0), s.integer(1), s.integer(2)});
        moved.on = Date(std::chrono::days(s.integer(4)));
        auto& m = moved.movement;
        m.equipment = Mass::from_count(s.integer(5));
        m.term = static_cast<Term>(s.integer(6));
        m.basis = static_cast<Basis>(s.integer(7));
        m.reason = static_cast<Reason>(s.integer(8));
        if (const auto said = s.bytes(9); said != gas || gas.data() == nullptr) gas = kept(said);
        m.refrigerant = gas;
        m.place = code;
        m.site_owner = owners_.owner_of(code, moved.order);
        if (m.term == Term::released) continue;  // no addition
        auto& known = known_.emplace_back();
        known.event = s.integer(3);
        known.movement = {moved.on, {}, *m.equipment, m.reason, s.text(11), std::to_string(known.event)};
        if (!s.is_null(10)) known.movement.job = s.text(10);
        known.order = moved.order;
        if (!s.is_null(12)) known.destroyed = Percent::thousandths(s.integer(12));
    }
}

void ApplianceRows::write_additions(const std::string& appliance, const Changed& changed) {
    // An event may change the additions of its own job and those that follow; what is put back, those of other jobs
    // before it, too.
    auto from = report::beginning;
    if (!changed.all) {
        from = *changed.from;
        for (const auto& k : known_)
            if (k.movement.job && changed.jobs.contains(*k.movement.job)) from = std::min(from, k.movement.on);
        for (const auto& k : known_)
            if (k.movement.on >= from && k.movement.reason == Reason::put_back) from = report::beginning;
    }
    if (!log_) log_.emplace(book_);
    const auto record = report::leak_record(book_, appliance, std::move(known_), *log_, from);
    auto n = static_cast<std::int64_t>(record.additions.size() - record.rated.size());
    additions_.begin(appliance, n + 1);
    for (const auto& a : record.rated) {
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
    additions_.end();
}

void ApplianceRows::write_losses(const std::string& appliance, int from) {
    losses_.begin(appliance, from);
    const auto* entry = book_.entries().find(EntryKind::appliance, appliance);
    std::vector<YearMovement> one(1);
    for (int year = from; year <= years_.last; ++year) {
        YearSums sums(std::chrono::year(year), book_.entries());
        for (const auto& moved : moved_) {
            one.front() = moved.movement;
            sums.take_equipment(moved.order, moved.on, one);
        }
        const auto balance = sums.balance();
        const auto& [start, end] = ends_[static_cast<std::size_t>(year - years_.first)];
        const auto last = end - std::chrono::seconds(1);
        const auto at_end = report::order_at(last);
        std::map<EquipmentKey, YearLine> lines(balance.equipment.begin(), balance.equipment.end());
        // An appliance that nothing moved in may have lost by its full charge.
        if (entry)
            for (const auto& when : {OrderKey{start, {}, 0}, at_end})
                if (const auto gas = entry->text("refrigerant", when))
                    lines.try_emplace({*gas, std::string(owners_.owner_of(appliance, at_end)), appliance});
        for (const auto& [key, line] : lines) {
            const auto loss = equipment_loss(key, line, book_.entries(), start, last);
            const auto& m = loss.material;
            losses_.row(appliance, year, key.refrigerant, key.owner, m.loss(), loss.simplified.loss(), m.acquired,
                        m.disbursed, m.full_charge_at_start, m.full_charge_at_end, m.left_out_at_start,
                        m.left_out_at_end);
        }
    }
    losses_.end();
}

void ApplianceRows::finish() {
    additions_.finish();
    losses_.finish();
}

}  // namespace tarebook::analysis
