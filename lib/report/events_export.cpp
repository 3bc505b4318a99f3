// Every event of the book, one a line: for a spreadsheet (CSV, RFC 4180) or for a program (JSON Lines of the stored
// bodies). Written piece by piece, so that a book of any size needs a few kilobytes of memory.
#include <algorithm>
#include <array>
#include <charconv>

#include "event_row.hpp"
#include "tarebook/report/report.hpp"
#include "tarebook/units/shown_text.hpp"

namespace tarebook {
namespace {

using report::EventRow;

constexpr std::string_view columns =
    "event,date,time,zone,kind,by,job,scale,circuit,cylinder,other_cylinder,party,refrigerant,condition,reason,"
    "before_lb,after_lb,net_lb,gross_lb,other_before_lb,other_after_lb,note,own_id,anyway,voided_by,digest\r\n";

// CSV, handed on piece by piece. Room for a whole row is made before it is written.
class Table {
 public:
    explicit Table(const std::function<void(std::string_view)>& write) : write_(write) {
        make_room(columns.size());
        put(columns);
    }

    void row(const EventRow& r, std::string_view digest, const std::optional<std::string>& voided_by, bool own) {
        std::string_view first[] = {r.date,  r.time,        r.zone,      r.kind,     r.by,
                                    r.job,   r.scale,       r.circuit,   r.cylinder, r.other_cylinder,
                                    r.party, r.refrigerant, r.condition, r.reason};
        std::string_view last[] = {r.note, r.own_id, r.anyway};
        std::array<std::string, std::size(first) + std::size(last)> made;  // what a terminal or spreadsheet would obey
        std::size_t next = 0;
        for (auto& v : first) v = harmless(v, made[next++]);
        for (auto& v : last) v = harmless(v, made[next++]);
        std::size_t letters = 2 * digest.size();
        for (const auto v : first) letters += v.size();
        for (const auto v : last) letters += v.size();
        make_room(2 * letters + 512);  // each letter a quotation mark; numbers and commas
        if (own)
            event(r.seq);
        else
            hex(digest.substr(0, 6));
        for (const auto v : first) *at_++ = ',', text(v);
        for (const auto& m : {r.before, r.after, r.net, r.gross, r.other_before, r.other_after}) {
            *at_++ = ',';
            if (m) put(pounds_text(*m));
        }
        for (const auto v : last) *at_++ = ',', text(v);
        *at_++ = ',';
        if (voided_by) put(*voided_by);
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
    // The text itself where it can stand in a cell as it is: most do.
    static std::string_view harmless(std::string_view v, std::string& made) {
        const auto strange = [](char c) {
            return static_cast<unsigned char>(c) < 0x20 || static_cast<unsigned char>(c) >= 0x7f || c == '\\';
        };
        if (!is_computed(v) && !v.starts_with('\'') && std::none_of(v.begin(), v.end(), strange)) return v;
        return made = cell_text(v);
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
    report::EventRowReader reader;
    book.each_body([&](const StoredBody& stored) {
        const auto row = reader.read(stored.body);
        if (row.kind.empty()) read(stored);  // says which event is damaged
        table.row(row, stored.digest, stored.voided_by, stored.own);
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
