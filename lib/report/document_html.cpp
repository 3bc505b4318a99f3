// A document for a browser, a phone and a printer: one file without a script and without anything from outside, which
// its content policy says too. WCAG 2.2: headings in order, tables with headers and a caption, words beside pictures,
// contrast of 4.5 to 1 at least in both schemes, nothing told by colour alone.
#include <fmt/format.h>

#include <algorithm>

#include "content_policy.hpp"
#include "document.hpp"
#include "label_drawing.hpp"
#include "page_links.hpp"
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
p{margin:.4rem 0;max-width:44rem}
.lead{font-size:1.15rem}
.warning{border-left:.3rem solid var(--mark);padding-left:.7rem;font-weight:600}
dl{display:grid;grid-template-columns:max-content 1fr;gap:.15rem 1rem;margin:.6rem 0}
dt{color:var(--soft)}dd{margin:0;white-space:pre-wrap;font-variant-numeric:tabular-nums}
.wide{overflow-x:auto;margin:.6rem 0}
table{border-collapse:collapse;font-variant-numeric:tabular-nums}
caption{text-align:left;color:var(--soft);padding:.2rem 0}
th,td{padding:.3rem .7rem .3rem 0;text-align:left;vertical-align:top;border-bottom:1px solid var(--rule);
overflow-wrap:break-word;max-width:24rem}
th{font-weight:600}.n{text-align:right;white-space:nowrap}.s{white-space:nowrap}
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
@media print{@page{margin:15mm}body{max-width:none;padding:0;font-size:10pt}.wide{overflow:visible}
th,td{padding-right:.4rem;max-width:12rem}th.n{white-space:normal}main{orphans:1;widows:1}
figure{width:48%;margin-right:1%}.label{width:auto;margin:0}.many{font-size:7pt}.most{page:sideways}@page sideways{size:landscape;margin:12mm}
tr,figure,dl,footer{break-inside:avoid}h2{break-after:avoid}thead{display:table-header-group}
@page labels{margin:6mm}main:has(.label){page:labels}main:has(.label) h1,main:has(.label)~footer{display:none}
@page r4x3{size:101.6mm 76.2mm;margin:0}@page r4x2{size:101.6mm 50.8mm;margin:0}@page r62mm{size:62mm 100mm;margin:0}
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

    void words(std::string_view element, std::string_view of_class, std::string_view text) {
        end_lists();
        out_ += fmt::format("<{0}{1}>{2}</{0}>\n", element,
                            of_class.empty() ? "" : fmt::format(" class=\"{}\"", of_class), marked(text));
    }
    void item(std::string_view lines) {
        end_lists();
        const auto head = lines.substr(0, lines.find('\n'));
        std::string rest;
        for (const auto line : split(lines.substr(std::min(head.size() + 1, lines.size())), '\n'))
            add_word(rest, trimmed(line), " ");
        out_ += fmt::format("<p><strong>{}</strong>{}{}</p>\n", marked(head), rest.empty() ? "" : "<br>", marked(rest));
    }
    void bullet(std::string_view text, bool numbered = false) {
        auto& in_list = numbered ? in_steps_ : in_bullets_;
        if (!in_list) {
            end_lists();
            out_ += numbered ? "<ol>\n" : "<ul>\n";
        }
        in_list = true;
        out_ += fmt::format("<li>{}</li>\n", marked(text));
    }
    void fact(std::string_view name, std::string_view value) {
        if (in_bullets_ || in_steps_) end_lists();
        if (!in_facts_) out_ += "<dl>\n";
        in_facts_ = true;
        out_ += fmt::format("<dt>{}</dt><dd>{}</dd>\n", escaped(name), marked(value));
    }
    void table(const Table& table, std::string_view caption) {
        end_lists();
        // A wide table scrolls by itself, by keyboard too.
        // On paper one of many columns is small, and one of the most takes a page of its own, sideways.
        const auto columns = table.columns().size();
        out_ += fmt::format(
            "<div class=\"wide{1}\" role=\"region\" aria-label=\"{0}\" tabindex=\"0\">\n<table>\n"
            "<caption>{0}</caption>\n<thead><tr>",
            escaped(caption),
            columns > 16  ? " many most"
            : columns > 9 ? " many"
                          : "");
        for (const auto& column : table.columns())
            out_ += fmt::format("<th scope=\"col\"{}>{}</th>", number(column.side), escaped(column.heading));
        out_ += "</tr></thead>\n<tbody>\n";
        for (const auto& row : table.rows()) {
            out_ += "<tr>";
            for (std::size_t c = 0; c < row.size(); ++c)
                out_ += fmt::format(
                    "<td{}>{}</td>", cell_class(table.columns()[c].side, row[c]),
                    links_ && table.columns()[c].heading == "job" ? links_->marked_job(row[c]) : marked(row[c]));
            out_ += "</tr>\n";
        }
        out_ += "</tbody>\n</table>\n</div>\n";
    }
    // Each thing under a heading of its own, one below that of its part.
    void cards(const Cards& cards) {
        end_lists();
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
    void heading(std::string_view words_of_it) {
        words("h2", "", words_of_it);
        is_under_heading_ = true;
    }
    void picture(const Picture& p) {
        end_lists();
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
    bool in_facts_ = false, in_bullets_ = false, in_steps_ = false, is_under_heading_ = false;
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
    const Imprint imprint{book.info().company, zone ? *zone : Moment{options.now, {}, "UTC"}, book.head(),
                          book.info().practice(), options.links};
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
    std::string out = fmt::format(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src {}; base-uri "
        "'none'; form-action 'none'\">\n<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
        "<title>{}</title>\n<style>{}</style>\n</head>\n<body>\n<main>\n<h1>{}</h1>\n",
        policy_hash(page_style()), escaped(title), page_style(), escaped(title));
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
    out += "</footer>\n</body>\n</html>\n";
    return out;
}

}  // namespace tarebook::report
