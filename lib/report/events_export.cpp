// Every event of the book, one a line: for a spreadsheet (CSV, RFC 4180) or for a program (JSON Lines of the bodies as
// they are stored). Written piece by piece, so that a book of any size leaves through a few kilobytes.
#include <algorithm>
#include <array>
#include <charconv>

#include "tarebook/event_skim.hpp"
#include "tarebook/report.hpp"

namespace tarebook {
namespace {

constexpr std::string_view columns =
    "event,date,time,zone,kind,by,job,scale,circuit,cylinder,other_cylinder,party,refrigerant,condition,reason,"
    "before_lb,after_lb,net_lb,gross_lb,other_before_lb,other_after_lb,note,own_id,anyway,voided_by,digest\r\n";

// What a row shows; whatever an event does not have stays empty.
struct Row {
    std::int64_t seq = 0;
    std::string_view date, time, zone, kind, by, job, scale, note, own_id, anyway;
    std::string_view circuit, cylinder, other_cylinder, party, refrigerant, condition, reason;
    std::optional<Mass> before, after, net, gross, other_before, other_after;
};

std::string_view or_empty(const std::optional<std::string>& text) {
    return text ? std::string_view(*text) : std::string_view();
}
std::optional<Mass> mass_of(const std::optional<Weight>& weight) {
    return weight ? std::optional(weight->mass) : std::nullopt;
}

// The parts of a kind into their columns: handed in by a Skimmer as they lie, or by an Event's list of fields.
class PartsOf {
 public:
    /// `kind` is looked at when the parts come.
    PartsOf(Row& row, const std::string_view& kind) : row_(row), kind_(kind) {}

    void operator()(std::string_view key, std::string_view v) {
        if (key == "circuit" || key == "appliance")
            row_.circuit = v;
        else if (key == "cylinder")
            row_.cylinder = v;
        else if (key == "from" || key == "into" || key == "to" || key == "with")
            place(key, v);
        else if (key == "for_cylinder")
            row_.other_cylinder = v;
        else if (key == "refrigerant")
            row_.refrigerant = v;
        else if (key == "condition")
            row_.condition = v;
        else if (key == "reason")
            row_.reason = v;
    }
    void operator()(std::string_view key, Mass v) { (key == "gross" ? row_.gross : row_.net) = v; }
    void operator()(std::string_view key, const WeighingMasses& v) {
        const bool other = key == "into_weighing";
        (other ? row_.other_before : row_.before) = v.before;
        (other ? row_.other_after : row_.after) = v.after;
        if (v.net) row_.net = v.net;
    }

    void operator()(const char* key, const std::string& v) { (*this)(key, std::string_view(v)); }
    void operator()(const char* key, const std::optional<std::string>& v) {
        if (v) (*this)(key, std::string_view(*v));
    }
    void operator()(const char* key, const Weight& v) { (*this)(key, v.mass); }
    void operator()(const char* key, const std::optional<Weight>& v) {
        if (v) (*this)(key, v->mass);
    }
    void operator()(const char* key, const Weighing& v) {
        (*this)(key, WeighingMasses{mass_of(v.before), mass_of(v.after), mass_of(v.net)});
    }
    void operator()(const char* key, Condition v) { (*this)(key, text_of(v)); }
    void operator()(const char* key, Reason v) { (*this)(key, text_of(v)); }
    void operator()(const char*, bool) {}
    void operator()(const char*, const std::optional<std::int64_t>&) {}
    void operator()(const char*, EntryKind) {}
    void operator()(const char*, const FieldValues&) {}

 private:
    // `from` and `into` name a cylinder in some kinds and a firm in others.
    void place(std::string_view key, std::string_view v) {
        if (kind_ == kinds::Receive::name || key == "to" || key == "with" || v.starts_with("outside:"))
            row_.party = v;
        else if (row_.cylinder.empty())
            row_.cylinder = v;
        else
            row_.other_cylinder = v;
    }

    Row& row_;
    const std::string_view& kind_;
};

void take_envelope(Row& row, const SkimmedEvent& e) {
    row.seq = e.seq;
    row.date = e.date, row.zone = e.zone, row.kind = e.kind, row.by = e.by, row.job = e.job, row.scale = e.scale;
    row.time = {e.time.data(), e.time.size()};
    row.note = e.note, row.own_id = e.own_id, row.anyway = e.anyway;
}

// `clock` keeps the letters of the date and the time.
Row row_of(const Event& e, std::string& clock) {
    Row row;
    row.seq = e.seq;
    clock = moment_text(e.when);
    row.date = std::string_view(clock).substr(0, 10), row.time = std::string_view(clock).substr(11);
    row.zone = e.when.zone, row.kind = e.kind(), row.by = or_empty(e.by), row.job = or_empty(e.job);
    row.scale = or_empty(e.scale), row.note = or_empty(e.note), row.own_id = or_empty(e.own_id);
    row.anyway = or_empty(e.anyway);
    PartsOf parts(row, row.kind);
    std::visit([&](const auto& k) { std::decay_t<decltype(k)>::fields(k, parts); }, e.what);
    if (const auto* entry = std::get_if<kinds::Entry>(&e.what)) {
        const bool place = entry->entry == EntryKind::site || entry->entry == EntryKind::appliance ||
                           entry->entry == EntryKind::circuit;
        (entry->entry == EntryKind::cylinder ? row.cylinder : place ? row.circuit : row.party) = entry->code;
    }
    return row;
}

// CSV, handed on piece by piece. Room for a whole row is made before it is written.
class Table {
 public:
    explicit Table(const std::function<void(std::string_view)>& write) : write_(write) {
        make_room(columns.size());
        put(columns);
    }

    void row(const Row& r, std::string_view digest, const std::optional<std::int64_t>& voided_by) {
        const std::string_view first[] = {r.date,  r.time,        r.zone,      r.kind,     r.by,
                                          r.job,   r.scale,       r.circuit,   r.cylinder, r.other_cylinder,
                                          r.party, r.refrigerant, r.condition, r.reason};
        const std::string_view last[] = {r.note, r.own_id, r.anyway};
        std::size_t letters = 2 * digest.size();
        for (const auto v : first) letters += v.size();
        for (const auto v : last) letters += v.size();
        make_room(2 * letters + 512);  // each letter a quotation mark; numbers and commas
        event(r.seq);
        for (const auto v : first) *at_++ = ',', text(v);
        for (const auto& m : {r.before, r.after, r.net, r.gross, r.other_before, r.other_after}) {
            *at_++ = ',';
            if (m) put(pounds_text(*m));
        }
        for (const auto v : last) *at_++ = ',', text(v);
        *at_++ = ',';
        if (voided_by) event(*voided_by);
        *at_++ = ',';
        hex(digest);
        put("\r\n");
    }
    void end() {
        write_({piece_.data(), static_cast<std::size_t>(at_ - piece_.data())});
        at_ = piece_.data();
    }

 private:
    void make_room(std::size_t n) {
        if (static_cast<std::size_t>(piece_.data() + piece_.size() - at_) >= n) return;
        end();
        if (n > piece_.size()) piece_.resize(n), at_ = piece_.data();
    }
    void put(std::string_view v) { at_ = std::copy(v.begin(), v.end(), at_); }
    void text(std::string_view v) {
        // copied and looked at in one go: few want quotes
        static constexpr auto quoted = [] {
            std::array<bool, 256> letters{};
            for (const char c : std::string_view(",\"\r\n")) letters[static_cast<unsigned char>(c)] = true;
            return letters;
        }();
        char* const begin = at_;
        char* p = at_;
        bool plain = true;
        for (const char c : v) {
            plain = plain && !quoted[static_cast<unsigned char>(c)];
            *p++ = c;
        }
        at_ = p;
        if (plain) return;
        at_ = begin;
        *at_++ = '"';
        for (const char c : v) {
            if (c == '"') *at_++ = c;
            *at_++ = c;
        }
        *at_++ = '"';
    }
    void event(std::int64_t seq) {
        *at_++ = 'E';
        at_ = std::to_chars(at_, at_ + 20, seq).ptr;
    }
    void hex(std::string_view bytes) {
        static constexpr char digits[] = "0123456789abcdef";
        char* p = at_;
        for (const char c : bytes) {
            const auto byte = static_cast<unsigned char>(c);
            *p++ = digits[byte >> 4U];
            *p++ = digits[byte & 15U];
        }
        at_ = p;
    }

    const std::function<void(std::string_view)>& write_;
    std::vector<char> piece_ = std::vector<char>(64U * 1024U);
    char* at_ = piece_.data();
};

void export_table(const Book& book, const std::function<void(std::string_view)>& write) {
    Table table(write);
    Skimmer skimmer;
    book.each_body([&](const StoredBody& stored) {
        Row row;
        SkimmedEvent skimmed;
        PartsOf parts(row, skimmed.kind);
        if (skimmer.read(stored.body, skimmed, parts)) {
            take_envelope(row, skimmed);
            return table.row(row, stored.digest, stored.voided_by);
        }
        const auto whole = read(stored);
        std::string clock;
        table.row(row_of(whole.event, clock), stored.digest, stored.voided_by);
    });
    table.end();
}

}  // namespace

void export_events(const Book& book, Format format, const std::function<void(std::string_view)>& write) {
    if (format != Format::json) return export_table(book, write);
    constexpr std::size_t piece = 64U * 1024U;
    std::string out;
    book.each_event([&](const StoredEvent& stored) {
        out += canonical_body(stored.event) + "\n";
        if (out.size() < piece) return;
        write(out);
        out.clear();
    });
    write(out);
}

}  // namespace tarebook
