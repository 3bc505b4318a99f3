#include "due_cache.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <functional>

#include "shared_text.hpp"
#include "tarebook/book/judged_anew.hpp"
#include "tarebook/units/bounded_file.hpp"
#include "tarebook/units/new_file.hpp"
#include "touched_appliances.hpp"

namespace tarebook::report {
namespace {

// Raised where clocks or their packing come to mean something else.
constexpr std::string_view form = "tarebook clocks 7";
constexpr std::size_t most_new_events = 5000;

class Packer {
 public:
    void number(std::int64_t value) {
        auto v = (static_cast<std::uint64_t>(value) << 1U) ^ static_cast<std::uint64_t>(value >> 63);  // zigzag
        for (; v >= 0x80U; v >>= 7U) out += static_cast<char>(v | 0x80U);
        out += static_cast<char>(v);
    }
    void text(std::string_view s) { number(static_cast<std::int64_t>(s.size())), out += s; }
    void day(Date d) { number(d.time_since_epoch().count()); }
    void day(const std::optional<Date>& d) {
        number(d ? 1 : 0);
        if (d) day(*d);
    }
    std::string out;
};

struct Damaged {};

class Unpacker {
 public:
    explicit Unpacker(std::string_view in) : in_(in) {}
    std::int64_t number() {
        std::uint64_t v = 0;
        for (unsigned shift = 0; shift < 70; shift += 7) {
            if (in_.empty()) throw Damaged();
            const auto byte = static_cast<unsigned char>(in_.front());
            in_.remove_prefix(1);
            v |= static_cast<std::uint64_t>(byte & 0x7fU) << shift;
            if (byte < 0x80U) return static_cast<std::int64_t>(v >> 1U) ^ -static_cast<std::int64_t>(v & 1U);
        }
        throw Damaged();
    }
    std::string text() {
        const auto n = number();
        if (n < 0 || static_cast<std::size_t>(n) > in_.size()) throw Damaged();
        std::string s(in_.substr(0, static_cast<std::size_t>(n)));
        in_.remove_prefix(static_cast<std::size_t>(n));
        return s;
    }
    Date day() { return Date(std::chrono::days(number())); }
    std::optional<Date> optional_day() {
        if (number() == 0) return std::nullopt;
        return day();
    }
    [[nodiscard]] bool at_end() const { return in_.empty(); }

 private:
    std::string_view in_;
};

void pack(Packer& p, const Clock& c) {
    p.number(static_cast<std::int64_t>(c.what));
    for (const auto* s : {&c.subject, &c.leak, &c.opened_by, &c.closed_by, &c.text}) p.text(*s);
    p.day(c.opened_on), p.day(c.due_on), p.day(c.closed_on), p.day(c.runs_from), p.number(c.goes_on ? 1 : 0);
    for (const auto* rule : {&c.rule, &c.also}) {
        p.text(*rule ? (*rule)->pack->id : ""), p.text(*rule ? (*rule)->rule->id : "");
        p.text(*rule && (*rule)->scope ? (*rule)->scope->id : "");
    }
}
std::optional<RuleMatch> rule_named(const Rulebook& rules, const std::string& pack_id, const std::string& id,
                                    const std::string& scope_id) {
    if (pack_id.empty()) return std::nullopt;
    const auto* pack = rules.find(pack_id);
    if (!pack) throw Damaged();
    RuleMatch out;
    out.pack = pack;
    for (const auto& rule : pack->rules)
        if (rule.id == id) out.rule = &rule;
    for (const auto& scope : pack->scopes)
        if (scope.id == scope_id) out.scope = &scope;
    if (!out.rule) throw Damaged();
    return out;
}
Clock unpacked_clock(const Rulebook& rules, Unpacker& u) {
    Clock c;
    const auto what = u.number();
    if (what < 0 || what > static_cast<std::int64_t>(ClockKind::annual_report)) throw Damaged();
    c.what = static_cast<ClockKind>(what);
    for (auto* s : {&c.subject, &c.leak, &c.opened_by, &c.closed_by, &c.text}) *s = u.text();
    c.opened_on = u.day(), c.due_on = u.optional_day(), c.closed_on = u.optional_day();
    c.runs_from = u.optional_day(), c.goes_on = u.number() == 1;
    for (auto* rule : {&c.rule, &c.also}) {
        const auto pack_id = u.text();
        const auto rule_id = u.text();
        *rule = rule_named(rules, pack_id, rule_id, u.text());
    }
    return c;
}

void pack(Packer& p, const TakenOut& t) {
    p.day(t.on), p.number(t.job ? 1 : 0);
    if (t.job) p.text(*t.job);
    p.number(t.mass.count()), p.number(t.left.count()), p.text(t.source), p.day(t.back_on), p.text(t.back_by);
}
TakenOut unpacked_taken_out(Unpacker& u) {
    TakenOut t;
    t.on = u.day();
    if (u.number() == 1) t.job = u.text();
    t.mass = Mass::from_count(u.number()), t.left = Mass::from_count(u.number());
    t.source = u.text(), t.back_on = u.optional_day(), t.back_by = u.text();
    return t;
}

// What the figures hang on beside the events: the form of the file and the packs.
std::string rests_on(const Rulebook& rules) {
    return fmt::format("{}; {}", form, packs_text(rules.packs()));
}

// Piece by piece, because it may be large.
void write_all(const Book& book, const DueCache& kept, const Digest& chain,
               const std::function<void(std::string_view)>& write) {
    Packer p;
    const auto flush = [&] { write(p.out), p.out.clear(); };
    p.text(rests_on(book.rules()));
    p.text(hex(book.info().id));
    p.number(static_cast<std::int64_t>(kept.last_rows.size()));
    for (const auto row : kept.last_rows) p.number(row);
    p.text(hex(chain));
    p.number(static_cast<std::int64_t>(kept.appliances.size()));
    for (const auto& [code, appliance] : kept.appliances) {
        p.text(code), p.text(appliance), flush();
    }
    p.number(static_cast<std::int64_t>(kept.returns.size()));
    for (const auto& r : kept.returns) p.number(r.row), p.text(r.event), p.text(r.cylinder), p.text(r.to), p.day(r.on);
    flush();
}

}  // namespace

std::string packed(const CachedAppliance& appliance) {
    Packer p;
    p.number(static_cast<std::int64_t>(appliance.clocks.size()));
    for (const auto& clock : appliance.clocks) pack(p, clock);
    p.number(static_cast<std::int64_t>(appliance.taken_out.size()));
    for (const auto& one : appliance.taken_out) pack(p, one);
    p.number(static_cast<std::int64_t>(appliance.disposed.size()));
    for (const auto& e : appliance.disposed) p.text(e.source), p.day(e.on);
    return std::move(p.out);
}

std::optional<CachedAppliance> unpacked(const Rulebook& rules, std::string_view packed) {
    try {
        Unpacker u(packed);
        CachedAppliance out;
        for (auto n = u.number(); n > 0; --n) out.clocks.push_back(unpacked_clock(rules, u));
        for (auto n = u.number(); n > 0; --n) out.taken_out.push_back(unpacked_taken_out(u));
        for (auto n = u.number(); n > 0; --n) {
            LeakEvent e;
            e.kind = LeakEvent::Kind::disposed;
            e.source = u.text();
            e.on = u.day();
            out.disposed.push_back(std::move(e));
        }
        if (!u.at_end()) return std::nullopt;
        return out;
    } catch (const Damaged&) {
        return std::nullopt;
    }
}

std::optional<DueCache> read_due_cache(const Book& book, const std::filesystem::path& file) {
    constexpr std::size_t longest = 1U << 30U;
    const auto whole = read_whole(file.string(), longest);
    // While events are judged anew, clocks may change without an event that says so.
    if (!whole || being_judged_anew(book)) return std::nullopt;
    const std::string_view all = *whole;
    constexpr auto digest_size = std::tuple_size_v<Digest>;
    if (all.size() < digest_size) return std::nullopt;
    const auto content = all.substr(0, all.size() - digest_size);
    const auto digest = digest_of(content);
    if (!std::equal(digest.begin(), digest.end(), reinterpret_cast<const unsigned char*>(all.data() + content.size())))
        return std::nullopt;
    try {
        Unpacker u(content);
        if (u.text() != rests_on(book.rules()) || u.text() != hex(book.info().id)) return std::nullopt;
        DueCache out;
        for (auto n = u.number(); n > 0; --n) out.last_rows.push_back(u.number());
        const auto chain = u.text();
        const auto last = out.last_rows.empty() ? std::nullopt : book.event(out.last_rows.front());
        if (!last || hex(last->digest) != chain) return std::nullopt;  // another copy of the book went another way
        for (auto n = u.number(); n > 0; --n) {
            auto code = u.text();
            out.appliances.emplace(std::move(code), u.text());
        }
        for (auto n = u.number(); n > 0; --n) {
            auto& r = out.returns.emplace_back();
            r.row = u.number(), r.event = u.text(), r.cylinder = u.text(), r.to = u.text(), r.on = u.day();
        }
        if (!u.at_end()) return std::nullopt;
        return out;
    } catch (const Damaged&) {
        return std::nullopt;
    }
}

void write_due_cache(const Book& book, const DueCache& kept, const std::filesystem::path& file) {
    const auto last = kept.last_rows.empty() ? std::nullopt : book.event(kept.last_rows.front());
    if (!last || being_judged_anew(book)) return;
    std::error_code ignored;
    std::filesystem::create_directories(file.parent_path(), ignored);
    NewFile out(file);
    Hasher hasher;
    write_all(book, kept, last->digest, [&](std::string_view bytes) { hasher.add(bytes), out.write(bytes); });
    const auto digest = hasher.digest();
    out.write({reinterpret_cast<const char*>(digest.data()), digest.size()});
    static_cast<void>(out.replace_for_now());
}

void keep_in_cache(std::string_view bytes, const std::filesystem::path& file) {
    std::error_code ignored;
    std::filesystem::create_directories(file.parent_path(), ignored);
    NewFile kept(file);
    kept.write(bytes);
    static_cast<void>(kept.replace_for_now());
}

namespace {
bool changes_what_is_effective(const Event& e) {
    const auto* r = std::get_if<kinds::Resolve>(&e.what);
    return std::holds_alternative<kinds::Trust>(e.what) || std::holds_alternative<kinds::Withdraw>(e.what) ||
           std::holds_alternative<kinds::Merge>(e.what) || (r && r->finding.starts_with("branch/"));
}
}  // namespace

std::optional<std::size_t> forget_touched(const Book& book, DueCache& kept) {
    auto last_rows = book.last_rows();
    const auto rows = book.rows_since(kept.last_rows, most_new_events);
    if (!rows) return std::nullopt;
    std::set<std::string> appliances, sites;
    const TouchedAppliances touched(book);
    std::set<std::int64_t> gone;
    for (const auto row : *rows) {
        const auto stored = book.event(row);
        if (!stored || changes_what_is_effective(stored->event)) return std::nullopt;  // other events may count now
        if (stored->quarantined) continue;
        touched.of(stored->event, appliances, sites);
        const auto* sent = std::get_if<kinds::Return>(&stored->event.what);
        if (sent && !stored->voided_by)
            kept.returns.push_back(
                {row, event_ref(book, *stored), sent->cylinder, sent->to, stored->event.when.date()});
        if (const auto* k = std::get_if<kinds::Void>(&stored->event.what))
            if (const auto target = book.event_named(k->target)) {
                touched.of(target->event, appliances, sites);
                gone.insert(target->id);
            }
    }
    for (const auto& code : appliances) kept.appliances.erase(code);
    if (!sites.empty()) std::erase_if(kept.appliances, [&](const auto& a) { return sites.contains(site_of(a.first)); });
    std::erase_if(kept.returns, [&](const CachedReturn& r) { return gone.contains(r.row); });
    std::stable_sort(kept.returns.begin(), kept.returns.end(),
                     [](const CachedReturn& a, const CachedReturn& b) { return a.on < b.on; });
    kept.last_rows = std::move(last_rows);
    return rows->size();
}

}  // namespace tarebook::report
