// A document for a browser, a phone and a printer: one file without a script and without anything from outside, which
// its content policy says too. WCAG 2.2: headings in order, tables with headers and a caption, words beside pictures,
// contrast of 4.5 to 1 at least in both schemes, nothing told by colour alone.
#include <fmt/format.h>

#include <algorithm>

#include "content_policy.hpp"
#include "document.hpp"
#include "label_drawing.hpp"
#include "page_links.hpp"
#include "paper.hpp"
#include "shown_table.hpp"
#include "tarebook/book/judged_anew.hpp"
#include "tarebook/report/practice.hpp"
#include "tarebook/units/word_list.hpp"

namespace tarebook::report {
namespace {

constexpr std::string_view common_style = R"(
:root{color-scheme:light dark;--paper:#fff;--ink:#1b1b1b;--soft:#595959;--rule:#c4c4c4;--band:#f2f2f2;--mark:#a3320b;
--fill:#2f6f8f;--other:#7a5c00}
@media screen and (prefers-color-scheme:dark){:root{--paper:#16181a;--ink:#ececec;--soft:#b4b4b4;--rule:#4b4f53;--band:#22262a;
--mark:#ff9d76;--fill:#7cc4e4;--other:#e3c46a}}
*{box-sizing:border-box}
body{margin:0 auto;max-width:62rem;padding:1rem;background:var(--paper);color:var(--ink);
font:1rem/1.5 system-ui,sans-serif;overflow-wrap:anywhere}
h1{font-size:1.6rem;line-height:1.2;margin:.5rem 0}h2{font-size:1.2rem;margin:1.6rem 0 .4rem}
h3{font-size:1.05rem;margin:1.3rem 0 .3rem}
p{margin:.4rem 0;max-width:44rem}
.lead{font-size:1.15rem}
.warning{border-left:.3rem solid var(--mark);padding-left:.7rem;font-weight:600}
dl{display:grid;grid-template-columns:max-content 1fr;gap:.15rem 1rem;margin:.6rem 0}
dt{color:var(--soft)}dd{margin:0;white-space:pre-wrap;font-variant-numeric:tabular-nums}
.wide{overflow-x:auto;margin:.6rem 0}
table{border-collapse:collapse;font-variant-numeric:tabular-nums}
th,td{padding:.3rem .7rem .3rem 0;text-align:left;vertical-align:top;border-bottom:1px solid var(--rule);
overflow-wrap:break-word;max-width:24rem}
th,tfoot td{font-weight:600}thead th{vertical-align:bottom}thead th.n{white-space:normal}tfoot th,tfoot td{border-top:2px solid var(--soft)}.n{text-align:right;white-space:nowrap}.s{white-space:nowrap}
tbody tr:nth-child(even){background:var(--band)}
figure{display:inline-block;width:24rem;max-width:100%;margin:1rem 2rem 1rem 0;vertical-align:top}
svg{display:block;width:100%;height:auto}
figcaption{color:var(--soft);font-size:.9rem}
text{fill:var(--ink);font:14px system-ui,sans-serif}.end{text-anchor:end}.mid{text-anchor:middle}
.frame{fill:none;stroke:var(--soft);stroke-width:1.5}.amount{fill:var(--fill)}.second{fill:var(--other)}
.rule{stroke:var(--rule);stroke-width:1}.limit{stroke:var(--mark);stroke-width:2;stroke-dasharray:6 4;fill:none}.stop{stroke:var(--mark);stroke-width:5}
.path{stroke:var(--fill);stroke-width:2;fill:none}.dot{fill:var(--fill)}.over{fill:var(--mark)}
.kept{fill:var(--band);stroke:var(--soft);stroke-width:1}.spine{fill:var(--soft)}.strong{font-weight:600}
.small{font-size:13px}
.box{font-size:1.5rem;font-weight:600;border:.2rem solid var(--ink);padding:.4rem .7rem;width:fit-content}ol{font-size:1.15rem}li{margin:.2rem 0}
.card{border-left:.3rem solid var(--rule);padding-left:.7rem;margin:1rem 0;break-inside:avoid}
.card.out{border-color:var(--mark)}.card h2,.card h3{font-size:1.05rem;margin:.2rem 0}.card dl{margin:.2rem 0}
.out>h2,.out>h3,td.out{color:var(--mark);font-weight:600}td.out{min-width:5.5rem}
footer{margin-top:2rem;border-top:1px solid var(--rule);color:var(--soft);font-size:.85rem}
.label{width:auto;margin:0}.label figcaption{display:none}
.label svg{width:95mm;max-width:100%;background:#fff}.size-4x3 svg,.size-4x2 svg{width:101.6mm}.size-62mm svg{width:62mm}
@media (max-width:30rem){figure{margin-right:0}dl{grid-template-columns:1fr;gap:0}dd{margin-bottom:.4rem}}
.sign{display:grid;grid-template-columns:6rem 1fr 10rem;column-gap:.7rem;align-items:end;margin:2.6rem 0 0;max-width:44rem}
.sign span{border-bottom:1px solid var(--ink)}
@page{margin:18mm 15mm 16mm;@top-left{font:8pt system-ui,sans-serif;color:#595959}
@top-right{font:8pt system-ui,sans-serif;color:#595959}
@bottom-right{font:8pt system-ui,sans-serif;color:#595959;content:"page " counter(page) " of " counter(pages)}}
@page sideways{size:landscape;margin:16mm 13mm 14mm}
@page bare{margin:6mm;@top-left{content:none}@top-right{content:none}@bottom-right{content:none}}
@page r4x3{size:101.6mm 76.2mm;margin:0;@top-left{content:none}@top-right{content:none}@bottom-right{content:none}}
@page r4x2{size:101.6mm 50.8mm;margin:0;@top-left{content:none}@top-right{content:none}@bottom-right{content:none}}
@page r62mm{size:62mm 100mm;margin:0;@top-left{content:none}@top-right{content:none}@bottom-right{content:none}}
@media print{body{max-width:none;padding:0;font-size:10pt}.wide{overflow:visible}
th,td{padding-right:.8em;max-width:12em}main{orphans:1;widows:1}p,li{orphans:2;widows:2}
figure{width:48%;margin:.6rem 1% .6rem 0}.flow{width:32%}figcaption{font-size:8pt;line-height:1.25}.label{width:auto;margin:0}.p8{font-size:8.5pt}.p7{font-size:7pt}.p6{font-size:6pt}.sideways{page:sideways}
tr,figure,dl,footer,.sign{break-inside:avoid}h2,h3{break-after:avoid}thead{display:table-header-group}
tfoot{display:table-row-group}thead,tbody tr:first-child{break-after:avoid}tbody tr:last-child:not(:first-child),tfoot{break-before:avoid}
.one-sheet h1{font-size:14pt}.one-sheet{font-size:9.5pt;line-height:1.3}
main:has(.label){page:bare}main:has(.label) h1,main:has(.label)~footer{display:none}
main:has(.size-4x3){page:r4x3}main:has(.size-4x2){page:r4x2}main:has(.size-62mm){page:r62mm}
.size-4x3,.size-4x2,.size-62mm{display:block;break-after:page}.label:last-child{break-after:auto}}
)";

const std::string& page_style() {
    static const auto style = std::string(common_style) + std::string(label_style());
    return style;
}

// On a terminal a heading ends in a colon, as nothing else marks it.
std::string_view without_colon(std::string_view heading) {
    return heading.ends_with(':') ? heading.substr(0, heading.size() - 1) : heading;
}

class Writer {
 public:
    Writer(std::string& out, const PageLinks* links) : out_(out), links_(links) {}
    ~Writer() { end_lists(); }
    Writer(const Writer&) = delete;
    Writer& operator=(const Writer&) = delete;

    void chapter(std::string_view text) {
        words("h2", "", text);
        in_chapter_ = true;
    }
    void heading(std::string_view text) {
        end_lists();
        heading_at_ = out_.size();
        words(in_chapter_ ? "h3" : "h2", "", text);
        headed_ = true;
        is_under_heading_ = true;
    }
    void words(std::string_view element, std::string_view of_class, std::string_view text) {
        end_lists();
        headed_ = false;
        out_ += fmt::format("<{0}{1}>{2}</{0}>\n", element,
                            of_class.empty() ? "" : fmt::format(" class=\"{}\"", of_class), marked(text));
    }
    void item(std::string_view lines) {
        end_lists();
        headed_ = false;
        const auto head = lines.substr(0, lines.find('\n'));
        std::string rest;
        for (const auto line : split(lines.substr(std::min(head.size() + 1, lines.size())), '\n'))
            add_word(rest, trimmed(line), " ");
        out_ += fmt::format("<p><strong>{}</strong>{}{}</p>\n", marked(head), rest.empty() ? "" : "<br>", marked(rest));
    }
    void bullet(std::string_view text, bool numbered = false) {
        headed_ = false;
        auto& in_list = numbered ? in_steps_ : in_bullets_;
        if (!in_list) {
            end_lists();
            out_ += numbered ? "<ol>\n" : "<ul>\n";
        }
        in_list = true;
        out_ += fmt::format("<li>{}</li>\n", marked(text));
    }
    void fact(std::string_view name, std::string_view value) {
        headed_ = false;
        if (in_bullets_ || in_steps_) end_lists();
        if (!in_facts_) out_ += "<dl>\n";
        in_facts_ = true;
        out_ += fmt::format("<dt>{}</dt><dd>{}</dd>\n", escaped(name), marked(value));
    }
    // Where no heading stands right above it, the caption is one, so that an outline has every table.
    void table(const Table& table, std::string_view caption) {
        if (!headed_) heading(caption);
        end_lists();
        const auto shown = shown_table(table);
        const auto paper = paper_class(shown);
        // A sheet that is turned begins with the heading.
        const bool sideways = is_sideways(paper);
        if (sideways) out_.insert(heading_at_, "<section class=\"sideways\">\n");
        // A wide table scrolls by itself, by keyboard too.
        out_ += fmt::format(
            "<div class=\"wide{}{}\" role=\"region\" aria-label=\"{}\" tabindex=\"0\">\n<table>\n<thead><tr>",
            paper.empty() ? "" : " ", paper, escaped(caption));
        for (const auto& column : shown.columns)
            out_ +=
                fmt::format("<th scope=\"col\"{}>{}</th>", number(column.side), escaped(column.heading_with_unit()));
        out_ += "</tr></thead>\n<tbody>\n";
        for (const auto& row : shown.rows) {
            out_ += "<tr>";
            for (std::size_t c = 0; c < row.size(); ++c)
                out_ += fmt::format(
                    "<td{}>{}</td>", cell_class(shown.columns[c].side, row[c]),
                    links_ && shown.columns[c].heading == "job" ? links_->marked_job(row[c]) : marked(row[c]));
            out_ += "</tr>\n";
        }
        out_ += "</tbody>\n";
        if (!shown.sums.empty()) sums(shown);
        out_ += "</table>\n</div>\n";
        if (sideways) out_ += "</section>\n";
        headed_ = false;
    }
    void signature(std::string_view who) {
        end_lists();
        headed_ = false;
        out_ += fmt::format("<p class=\"sign\">{} <span></span> <span>date</span></p>\n", escaped(who));
    }
    // Each thing under a heading of its own, one below that of its part.
    void cards(const Cards& cards) {
        end_lists();
        headed_ = false;
        for (std::size_t row = 0; row < cards.table.rows().size(); ++row) {
            const auto name = cards.name(row, ", ");
            const auto level = is_under_heading_ ? 3 : 2;
            out_ += fmt::format("<section class=\"card{0}\">\n<h{1}>{2}</h{1}>\n",
                                out_row(cards.table.rows()[row]) ? " out" : "", level, marked(name));
            for (const auto& [heading, words] : cards.fields(row)) fact(heading, words);
            end_lists();
            out_ += "</section>\n";
        }
    }
    void picture(const Picture& p) {
        end_lists();
        headed_ = false;
        out_ += fmt::format(
            "<figure{4} tabindex=\"0\">\n<svg role=\"img\" viewBox=\"0 0 {5} {0}\" aria-label=\"{1}\">\n{2}</svg>\n"
            "<figcaption>{3}</figcaption>\n</figure>\n",
            p.height, escaped(p.title + ": " + p.told), p.svg, escaped(p.title + ": " + p.told),
            p.of_class.empty() ? "" : fmt::format(" class=\"{}\"", p.of_class), p.width);
    }
    void end_lists() {
        if (in_facts_) out_ += "</dl>\n";
        if (in_bullets_) out_ += "</ul>\n";
        if (in_steps_) out_ += "</ol>\n";
        in_facts_ = in_bullets_ = in_steps_ = false;
    }

 private:
    void sums(const ShownTable& shown) {
        out_ += "<tfoot><tr>";
        bool labelled = false;
        for (std::size_t c = 0; c < shown.sums.size(); ++c) {
            const bool label = !labelled && shown.columns[c].side == Side::left && !shown.sums[c].empty();
            labelled = labelled || label;
            out_ += fmt::format("<{0}{1}>{2}</{3}>", label ? "th scope=\"row\"" : "td", number(shown.columns[c].side),
                                escaped(shown.sums[c]), label ? "th" : "td");
        }
        out_ += "</tr></tfoot>\n";
    }
    static std::string_view number(Side side) { return side == Side::right ? " class=\"n\"" : ""; }
    // A gas, a code, a day with its time: kept on one line, as R-404A would else break after its R.
    static std::string_view cell_class(Side side, std::string_view text) {
        constexpr std::size_t longest_whole = 16;
        if (stands_out(text)) return " class=\"out\"";
        if (side == Side::right) return number(side);
        return text.size() <= longest_whole ? " class=\"s\"" : "";
    }

    static bool out_row(const std::vector<std::string>& row) {
        return std::any_of(row.begin(), row.end(), [](const std::string& cell) { return stands_out(cell); });
    }

    [[nodiscard]] std::string marked(std::string_view text) const {
        return links_ ? links_->marked(text) : escaped(text);
    }

    std::string& out_;
    const PageLinks* links_;
    bool in_facts_ = false, in_bullets_ = false, in_steps_ = false;
    std::size_t heading_at_ = 0;
    bool in_chapter_ = false;
    bool is_under_heading_ = false;  // of a part of the page
    bool headed_ = false;            // nothing stands below the last heading yet
};

}  // namespace

// U+202A..202E and U+2066..2069 turn the direction of all that follows, so of our own words, too. Letters that are read
// from the right need none of them.
static std::string_view direction_shown(std::string_view text) {
    constexpr std::array<std::pair<std::string_view, std::string_view>, 9> marks{{
        {"\xE2\x80\xAA", "\\u202a"},
        {"\xE2\x80\xAB", "\\u202b"},
        {"\xE2\x80\xAC", "\\u202c"},
        {"\xE2\x80\xAD", "\\u202d"},
        {"\xE2\x80\xAE", "\\u202e"},
        {"\xE2\x81\xA6", "\\u2066"},
        {"\xE2\x81\xA7", "\\u2067"},
        {"\xE2\x81\xA8", "\\u2068"},
        {"\xE2\x81\xA9", "\\u2069"},
    }};
    for (const auto& [bytes, shown] : marks)
        if (text.starts_with(bytes)) return shown;
    return {};
}

std::string escaped(std::string_view text) {
    std::string out;
    for (std::size_t i = 0; i < text.size(); ++i) {
        const char c = text[i];
        switch (c) {
            case '&':
                out += "&amp;";
                break;
            case '<':
                out += "&lt;";
                break;
            case '>':
                out += "&gt;";
                break;
            case '"':
                out += "&quot;";
                break;
            case '\'':
                out += "&#39;";
                break;
            case '\xE2':
                if (const auto shown = direction_shown(text.substr(i)); !shown.empty()) {
                    out += shown;
                    i += 2;
                } else {
                    out += c;
                }
                break;
            default:
                if (const auto byte = static_cast<unsigned char>(c); (byte < 0x20 && c != '\n') || byte == 0x7f)
                    out += fmt::format("\\x{:02x}", byte);
                else
                    out += c;
        }
    }
    return out;
}

std::string page_body(const Document& document, const Book& book, const PageOptions& options) {
    if (options.format == Format::text) return document.text(options.width);
    const auto zone = moment_in_zone(options.now, book.info().zone);
    const auto how_far = being_judged_anew(book);
    const Imprint imprint{book.info().company,
                          zone ? *zone : Moment{options.now, {}, "UTC"},
                          book.head(),
                          book.info().practice(),
                          options.links,
                          true,
                          how_far ? how_far->text() : std::string()};
    return options.format == Format::xlsx ? document.xlsx(imprint, options.units) : document.html(imprint);
}

std::string page_body(const Document& document, const PageOptions& options) {
    if (options.format == Format::text) return document.text(options.width);
    Imprint imprint;
    imprint.company = "Tarebook";
    imprint.of_a_book = false;
    return document.html(imprint);
}

std::string Document::html(const Imprint& imprint) const {
    const auto title = (imprint.practice ? "PRACTICE: " : "") + title_;
    const auto edges = sheet_edges(imprint.company, title_ == imprint.company ? lead_ : title);
    static const auto common_hash = policy_hash(page_style());
    const auto style_policy = common_hash + " " + policy_hash(edges);
    std::string out = fmt::format(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src {}; base-uri "
        "'none'; form-action 'none'\">\n<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
        "<title>{}</title>\n<style>{}</style>\n<style>{}</style>\n</head>\n<body{}>\n<main>\n<h1>{}</h1>\n",
        style_policy, escaped(title), page_style(), edges, one_sheet_ ? " class=\"one-sheet\"" : "", escaped(title));
    {
        Writer writer(out, imprint.links);
        if (imprint.practice) writer.words("p", "warning", practice_words);
        if (!lead_.empty()) writer.words("p", "lead", lead_);
        for (const auto& part : parts_) {
            if (const auto* words = std::get_if<Words>(&part)) {
                if (words->kind == Words::Kind::item)
                    writer.item(words->words);
                else if (words->kind == Words::Kind::bullet)
                    writer.bullet(words->words);
                else if (words->kind == Words::Kind::step)
                    writer.bullet(words->words, true);
                else if (words->kind == Words::Kind::box)
                    writer.words("p", "box", words->words);
                else if (words->kind == Words::Kind::heading)
                    writer.heading(without_colon(words->words));
                else if (words->kind == Words::Kind::chapter)
                    writer.chapter(without_colon(words->words));
                else if (words->kind == Words::Kind::signature)
                    writer.signature(words->words);
                else
                    writer.words("p", words->kind == Words::Kind::warning ? "warning" : "", words->words);
            } else if (const auto* fact = std::get_if<Fact>(&part)) {
                writer.fact(fact->name, fact->value);
            } else if (const auto* rows = std::get_if<Rows>(&part)) {
                if (rows->table.empty())
                    writer.words("p", "", rows->caption + ": none");
                else
                    writer.table(rows->table, rows->caption);
            } else if (const auto* cards = std::get_if<Cards>(&part)) {
                writer.cards(*cards);
            } else if (const auto* shown = std::get_if<Picture>(&part)) {
                writer.picture(*shown);
            }
        }
    }
    out += fmt::format("</main>\n<footer>\n<p>{}", escaped(imprint.company));
    // Of a folder only the index changes with each event and each look.
    const bool in_a_folder = imprint.links && !imprint.links->is_index;
    if (in_a_folder) {
        if (!imprint.links->concerns.empty()) out += "; last event: " + escaped(imprint.links->concerns);
        out += "; <a href=\"index.html\">all pages</a>";
    }
    if (!in_a_folder && imprint.printed) out += "; from the book as of " + escaped(moment_text(*imprint.printed));
    if (!in_a_folder && imprint.head)
        out += fmt::format(", head {} {}", event_name(imprint.head->seq), hex(imprint.head->digest));
    out += fmt::format("</p>\n<p>{}The page informs: local codes and a licensed person decide.</p>\n",
                       imprint.of_a_book ? "Figures from the book. " : "");
    if (!imprint.judged_anew.empty()) out += fmt::format("<p>{}</p>\n", escaped(imprint.judged_anew));
    out += "</footer>\n</body>\n</html>\n";
    return out;
}

}  // namespace tarebook::report
