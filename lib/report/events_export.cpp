// Every event of the book, one a line: for a spreadsheet (CSV, RFC 4180) or for a program (JSON Lines of the stored
// bodies, each with what the book says of it). Written piece by piece, so that a book of any size needs a few kilobytes
// of memory.
#include <fmt/format.h>

#include <map>

#include "event_row.hpp"
#include "json.hpp"
#include "tarebook/report/report.hpp"
#include "units/csv_text.hpp"

namespace tarebook {
namespace report {
namespace {

constexpr std::string_view head_of_events =
    "schema_version,event,date,time,zone,kind,by,job,scale,circuit,cylinder,other_cylinder,party,refrigerant,condition,"
    "reason,before_lb,after_lb,net_lb,gross_lb,other_before_lb,other_after_lb,values,note,own_id,anyway,voided_by,"
    "typed_by,typed_on,digest\r\n";

constexpr std::size_t handed_on_at_once = 64U * 1024U;

// What an entry of the register sets, as a JSON object of what was typed: {"tare":"27.5lb"}, with the name of a person
// in place of a code; empty for other events.
std::string values_of(const Book& book, const StoredBody& stored, std::string_view kind) {
    if (kind != kinds::Entry::name) return {};
    const auto event = tarebook::read(stored).event;
    std::string out;
    for (const auto& [name, value] : std::get<kinds::Entry>(event.what).values)
        out +=
            fmt::format("{}{}:{}", out.empty() ? "{" : ",", Json::text(name).scalar(),
                        Json::text(is_person_code(value.text) ? book.name_of_person(value.text) : value.text).scalar());
    return out.empty() ? out : out + "}";
}

// Who typed each event. Of the own chain it is known from a list, of other books it is asked for.
class Typists {
 public:
    explicit Typists(const Book& book) : book_(book) {
        for (const auto& one : book.events_of_kind(kinds::Typist::name)) {
            any_ = true;
            if (one.name.starts_with('E')) own_[one.event.seq] = book.typed_by(one);
        }
    }
    [[nodiscard]] std::optional<Typing> of(const StoredBody& stored, std::int64_t seq) const {
        if (!any_) return std::nullopt;
        if (!stored.own) return book_.typed_by(stored.id);
        const auto next = own_.upper_bound(seq);
        return next == own_.begin() ? std::nullopt : std::prev(next)->second;
    }

 private:
    const Book& book_;
    bool any_ = false;
    std::map<std::int64_t, std::optional<Typing>> own_;  // by number
};

void write_row(CsvText& row, const Book& book, const Typists& typists, const StoredBody& stored, const EventRow& r) {
    row.count(schema_version);
    if (stored.own)
        row.cell(event_name(r.seq));
    else
        row.hex(stored.digest.substr(0, 6));
    for (const auto v : {r.date, r.time, r.zone, r.kind, r.by, r.job, r.scale, r.circuit, r.cylinder, r.other_cylinder,
                         r.party, r.refrigerant, r.condition, r.reason})
        row.cell(v);
    for (const auto& m : {r.before, r.after, r.net, r.gross, r.other_before, r.other_after}) row.cell(m);
    row.cell(values_of(book, stored, r.kind));
    for (const auto v : {r.note, r.own_id, r.anyway}) row.cell(v);
    row.cell(stored.voided_by ? std::string_view(*stored.voided_by) : std::string_view());
    const auto typing = typists.of(stored, r.seq);
    row.cell(typing ? std::string_view(*typing->name) : std::string_view());
    row.cell(typing ? std::string_view(typing->device) : std::string_view()).hex(stored.digest);
    row.end_row();
}

// The body with four keys before its own: without them, and its keys in order, a line is the bytes that the digest
// covers. The names of events need no escape.
void write_line(std::string& out, const StoredBody& stored, const EventRow& r) {
    const auto digest = hex(stored.whole_digest());
    out.append(R"({"schema_version":)").append(std::to_string(schema_version)).append(R"(,"event":")");
    out.append(stored.own ? event_name(r.seq) : digest.substr(0, 12)).append(R"(","digest":")").append(digest);
    out.append(R"(","voided_by":)");
    if (stored.voided_by)
        out.append("\"").append(*stored.voided_by).append("\"");
    else
        out.append("null");
    out.append(",").append(stored.body.substr(1)).append("\n");
}

}  // namespace
}  // namespace report

void export_events(const Book& book, Format format, const std::function<void(std::string_view)>& write,
                   const std::optional<Date>& since) {
    const bool json = format == Format::json;
    const auto first = since ? date_text(*since) : std::string();
    std::string out(json ? std::string_view() : report::head_of_events);
    CsvText row(out);
    report::EventRowReader reader;
    const report::Typists typists(book);
    book.each_body([&](const StoredBody& stored) {
        const auto r = reader.read(stored.body);
        if (r.kind.empty()) tarebook::read(stored);  // says which event is damaged
        if (r.date < first) return;
        if (json)
            report::write_line(out, stored, r);
        else
            report::write_row(row, book, typists, stored, r);
        if (out.size() < report::handed_on_at_once) return;
        write(out);
        out.clear();
    });
    write(out);
}

}  // namespace tarebook
