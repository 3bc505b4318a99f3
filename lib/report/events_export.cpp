// Every event of the book, one a line: for a spreadsheet (CSV, RFC 4180) or for a program (JSON Lines of the stored
// bodies). Written piece by piece, so that a book of any size needs a few kilobytes of memory.
#include "event_row.hpp"
#include "tarebook/report/report.hpp"
#include "units/csv_text.hpp"

namespace tarebook {
namespace {

constexpr std::string_view columns =
    "event,date,time,zone,kind,by,job,scale,circuit,cylinder,other_cylinder,party,refrigerant,condition,reason,"
    "before_lb,after_lb,net_lb,gross_lb,other_before_lb,other_after_lb,note,own_id,anyway,voided_by,digest\r\n";

constexpr std::size_t piece = 64U * 1024U;  // what is handed on at a time

void export_table(const Book& book, const std::function<void(std::string_view)>& write) {
    std::string out(columns);
    CsvText row(out);
    report::EventRowReader reader;
    book.each_body([&](const StoredBody& stored) {
        const auto r = reader.read(stored.body);
        if (r.kind.empty()) read(stored);  // says which event is damaged
        if (stored.own)
            row.cell(event_name(r.seq));
        else
            row.hex(stored.digest.substr(0, 6));
        for (const auto v : {r.date, r.time, r.zone, r.kind, r.by, r.job, r.scale, r.circuit, r.cylinder,
                             r.other_cylinder, r.party, r.refrigerant, r.condition, r.reason})
            row.cell(v);
        for (const auto& m : {r.before, r.after, r.net, r.gross, r.other_before, r.other_after}) row.cell(m);
        for (const auto v : {r.note, r.own_id, r.anyway}) row.cell(v);
        row.cell(stored.voided_by ? std::string_view(*stored.voided_by) : std::string_view()).hex(stored.digest);
        row.end_row();
        if (out.size() < piece) return;
        write(out);
        out.clear();
    });
    write(out);
}

}  // namespace

void export_events(const Book& book, Format format, const std::function<void(std::string_view)>& write) {
    if (format != Format::json) return export_table(book, write);
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
