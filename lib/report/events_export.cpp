// Every event of the book, one a line: for a spreadsheet (CSV, RFC 4180) or for a program (JSON Lines of the bodies as
// they are stored). Written piece by piece, so that a book of any size leaves through a few kilobytes.
#include <algorithm>

#include "tarebook/report.hpp"

namespace tarebook {
namespace {

constexpr std::string_view columns =
    "event,date,time,zone,kind,by,job,scale,circuit,cylinder,other_cylinder,party,refrigerant,condition,reason,"
    "before_lb,after_lb,net_lb,gross_lb,other_before_lb,other_after_lb,note,own_id,anyway,voided_by,digest\r\n";

// What a row shows of a kind's parts; whatever a kind does not have stays empty.
struct Parts {
    std::string_view circuit, cylinder, other_cylinder, party, refrigerant, condition, reason;
    std::optional<Mass> before, after, net, gross, other_before, other_after;
};

std::string_view or_empty(const std::optional<std::string>& text) {
    return text ? std::string_view(*text) : std::string_view();
}
std::optional<Mass> mass_of(const std::optional<Weight>& weight) {
    return weight ? std::optional(weight->mass) : std::nullopt;
}

struct PartsOf {
    Parts parts;

    void operator()(const char* key, const std::string& v) { text(key, v); }
    void operator()(const char* key, const std::optional<std::string>& v) {
        if (v) text(key, *v);
    }
    void operator()(const char* key, const Weight& v) { weight(key, v.mass); }
    void operator()(const char* key, const std::optional<Weight>& v) {
        if (v) weight(key, v->mass);
    }
    void operator()(const char* key, const Weighing& v) {
        if (std::string_view(key) == "into_weighing") {
            parts.other_before = mass_of(v.before);
            parts.other_after = mass_of(v.after);
            if (v.net) parts.net = v.net->mass;
            return;
        }
        parts.before = mass_of(v.before);
        parts.after = mass_of(v.after);
        if (v.net) parts.net = v.net->mass;
    }
    void operator()(const char*, Condition v) { parts.condition = text_of(v); }
    void operator()(const char*, Reason v) { parts.reason = text_of(v); }
    template <class T>
    void operator()(const char*, const T&) {}

 private:
    void text(std::string_view key, std::string_view v) {
        if (key == "circuit" || key == "appliance")
            parts.circuit = v;
        else if (key == "cylinder")
            parts.cylinder = v;
        else if (key == "from" || key == "into" || key == "to" || key == "with")
            place(key, v);
        else if (key == "for_cylinder")
            parts.other_cylinder = v;
        else if (key == "refrigerant")
            parts.refrigerant = v;
    }
    void weight(std::string_view key, Mass mass) { (key == "gross" ? parts.gross : parts.net) = mass; }
    // `from` and `into` name a cylinder in some kinds and a firm in others: kind() says which.
    void place(std::string_view key, std::string_view v) {
        if (!names_cylinders || key == "to" || key == "with" || v.starts_with("outside:"))
            parts.party = v;
        else if (parts.cylinder.empty())
            parts.cylinder = v;
        else
            parts.other_cylinder = v;
    }

 public:
    bool names_cylinders = true;
};

class Row {
 public:
    explicit Row(std::string& out) : out_(out) {}
    void text(std::string_view v) {
        separate();
        // a loop of our own: the library's find_first_of searches the set anew for each letter
        const bool plain =
            std::none_of(v.begin(), v.end(), [](char c) { return c == ',' || c == '"' || c == '\r' || c == '\n'; });
        if (plain) {
            out_ += v;
            return;
        }
        out_ += '"';
        for (const char c : v) out_.append(c == '"' ? 2 : 1, c);
        out_ += '"';
    }
    void mass(const std::optional<Mass>& v) {
        separate();
        if (v) out_ += pounds_text(*v);
    }
    void end() { out_ += "\r\n"; }

 private:
    void separate() {
        if (!first_) out_ += ',';
        first_ = false;
    }
    std::string& out_;
    bool first_ = true;
};

void write_row(std::string& out, const StoredEvent& stored) {
    const auto& e = stored.event;
    PartsOf of;
    of.names_cylinders = !std::holds_alternative<kinds::Receive>(e.what);
    std::visit(
        [&](const auto& k) {
            using K = std::decay_t<decltype(k)>;
            K::fields(k, of);
        },
        e.what);
    if (const auto* entry = std::get_if<kinds::Entry>(&e.what)) {
        const bool place = entry->entry == EntryKind::site || entry->entry == EntryKind::appliance ||
                           entry->entry == EntryKind::circuit;
        (entry->entry == EntryKind::cylinder ? of.parts.cylinder
         : place                             ? of.parts.circuit
                                             : of.parts.party) = entry->code;
    }
    const auto& p = of.parts;
    const auto clock = moment_text(e.when);
    Row row(out);
    row.text(event_name(e.seq));
    row.text(std::string_view(clock).substr(0, 10));
    row.text(std::string_view(clock).substr(11));
    for (const std::string_view v :
         {std::string_view(e.when.zone), e.kind(), or_empty(e.by), or_empty(e.job), or_empty(e.scale), p.circuit,
          p.cylinder, p.other_cylinder, p.party, p.refrigerant, p.condition, p.reason})
        row.text(v);
    for (const auto& m : {p.before, p.after, p.net, p.gross, p.other_before, p.other_after}) row.mass(m);
    row.text(or_empty(e.note));
    row.text(or_empty(e.own_id));
    row.text(or_empty(e.anyway));
    row.text(stored.voided_by ? event_name(*stored.voided_by) : "");
    row.text(hex(stored.digest));
    row.end();
}

}  // namespace

void export_events(const Book& book, Format format, const std::function<void(std::string_view)>& write) {
    constexpr std::size_t piece = 64U * 1024U;
    std::string out;
    if (format != Format::json) out = columns;
    book.each_event([&](const StoredEvent& stored) {
        if (format == Format::json)
            out += canonical_body(stored.event) + "\n";
        else
            write_row(out, stored);
        if (out.size() < piece) return;
        write(out);
        out.clear();
    });
    write(out);
}

}  // namespace tarebook
