#include "tarebook/report/books_page.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "columns.hpp"
#include "document.hpp"
#include "layout.hpp"
#include "shared_text.hpp"
#include "tarebook/units/utf8.hpp"

namespace tarebook {

using namespace report;

namespace {

std::string short_id(const BookId& id) {
    return hex(id).substr(0, 12);
}

std::string runs_text(const std::vector<std::pair<std::int64_t, std::int64_t>>& missing) {
    std::string out;
    for (const auto& [from, to] : missing) {
        if (!out.empty()) out += ", ";
        out += from == to ? fmt::format("{}", from) : fmt::format("{} to {}", from, to);
    }
    return out;
}

// What is in quarantine, and what is to be done about it: one paragraph.
std::string quarantine_text(const Book::KnownBook& b) {
    const auto name = b.called.empty() ? "book " + short_id(b.id) : b.called;
    std::string out;
    const auto add = [&](std::string_view text) { out += fmt::format("{}{}", out.empty() ? name + ": " : "; ", text); };
    if (b.quarantined > 0)
        add(fmt::format("{} in quarantine, outside the book",
                        b.quarantined == 1 ? "1 event is" : counted(b.quarantined, "event") + " are"));
    if (b.register_quarantined) add("its register is in quarantine");
    if (!b.not_kept.empty())
        add(fmt::format("its events {} were not kept, as quarantine is full", runs_text(b.not_kept)));
    if (b.register_not_kept) add("its register was not kept, as quarantine is full");
    if (out.empty()) return out;
    if (b.own) return out + ". They are signed with another key than that of this book: this book did not make them";
    if (b.withdrawn) return out + ". Nothing counts beyond the event that the withdrawal names";
    if (b.trusted && b.quarantined == 0 && !b.register_quarantined)
        return out + ". Merge again the bundle that has them";
    if (b.trusted)
        return out +
               ". They are signed with another key than the trusted one, or the book refuses them: a "
               "merge of their bundle says why";
    out += ". Ask its owner for its card, then: tarebook books trust NAME --card CARD";
    if (!b.not_kept.empty() || b.register_not_kept) out += "; then merge again the bundle with what was not kept";
    return out;
}

std::string trust_text(const Book::KnownBook& b) {
    if (b.own) return "this book";
    if (!b.trusted) return "not trusted";
    return b.withdrawn ? "withdrawn" : "trusted";
}

Json runs_json(const std::vector<std::pair<std::int64_t, std::int64_t>>& runs) {
    Json out = Json::array();
    for (const auto& [from, to] : runs) out.push(facts({{"first_seq", from}, {"last_seq", to}}));
    return out;
}

// People, and CSV with them, read names and heads in short.
Columns<Book::KnownBook> known_columns(const std::string& company) {
    using Known = Book::KnownBook;
    return {
        Column<Known>("book", "", [](const Known& b) { return hex(b.id); }).no_csv(),
        Column<Known>("name", "", &Known::called).no_csv(),
        Column<Known>("name", "called",
                      [company](const Known& b) { return b.own              ? company
                                                         : b.called.empty() ? "-"
                                                                            : b.called; })
            .no_json(),
        Column<Known>("book", "book", [](const Known& b) { return short_id(b.id); }).no_json(),
        {"trust", "standing", trust_text},
        Column<Known>("key", "", &Known::public_key).no_csv(),
        {"number_of_events", "events", &Known::events},
        {"events_not_counted", "not counted", &Known::ineffective},
        {"events_quarantined", "quarantine", &Known::quarantined},
        {"not_kept", "", [](const Known& b) { return runs_json(b.not_kept); }},
        Column<Known>("number_of_branches", "", &Known::branches).no_csv(),
        Column<Known>("head", "", [](const Known& b) { return b.last ? Field(head_json(*b.last)) : Field(); }).no_csv(),
        Column<Known>("head", "last",
                      [](const Known& b) {
                          return b.last ? fmt::format("{} {}", b.last->seq, hex(b.last->digest).substr(0, 12)) : "-";
                      })
            .no_json()
            .right(),
        {"missing", "", [](const Known& b) { return runs_json(b.missing); }},
        Column<Known>("missing", "missing", [](const Known& b) { return runs_text(b.missing); })
            .no_json()
            .right()
            .blank()};
}

const Columns<MergedBook>& merged_columns() {
    static const Columns<MergedBook> columns{
        {"book", "", [](const MergedBook& b) { return hex(b.book); }},
        {"number_of_events", "", &MergedBook::events},
        {"events_added", "", &MergedBook::added},
        Column<MergedBook>("events_of_unknown_kind", "", &MergedBook::unknown).no_csv(),
        {"events_quarantined", "", &MergedBook::quarantined},
        {"events_not_kept", "", &MergedBook::not_kept},
        {"head", "", [](const MergedBook& b) { return head_json(b.head); }},
        {"is_effective", "", &MergedBook::is_effective},
        Column<MergedBook>("new_branch", "", &MergedBook::new_branch).no_csv(),
        {"missing", "", [](const MergedBook& b) { return runs_json(b.missing); }}};
    return columns;
}

std::string name_of(const std::vector<Book::KnownBook>& books, const BookId& id) {
    for (const auto& known : books)
        if (known.id == id) return known.own ? "this book" : known.called.empty() ? short_id(id) : known.called;
    return short_id(id);
}

}  // namespace

Result<Book::KnownBook> book_called(const Book& book, std::string_view name) {
    std::string known;
    for (auto& one : book.books()) {
        if (one.own) continue;
        if (one.called == name || (name.size() >= 8 && hex(one.id).starts_with(name))) return std::move(one);
        add_word(known, one.called.empty() ? short_id(one.id) : one.called);
    }
    return fail({ErrorKind::refused, "book-unknown", fmt::format("no other book has the name {} here", name),
                 std::string(name), known.empty() ? "a book that came in, or that is trusted" : "one of: " + known,
                 "tarebook books lists them"});
}

// "1 NOT trusted, 12 events in quarantine": what is to be seen to. A book alone has nothing of that.
static std::string books_answer(const std::vector<Book::KnownBook>& books) {
    std::int64_t not_trusted = 0, withdrawn = 0, quarantined = 0, missing = 0;
    for (const auto& b : books) {
        not_trusted += !b.own && !b.trusted && !b.withdrawn ? 1 : 0;
        withdrawn += b.withdrawn ? 1 : 0;
        quarantined += b.quarantined;
        missing += b.missing.empty() ? 0 : 1;
    }
    std::string out;
    if (not_trusted > 0) add_word(out, fmt::format("{} NOT trusted", not_trusted));
    if (withdrawn > 0) add_word(out, fmt::format("trust in {} withdrawn", withdrawn));
    if (quarantined > 0) add_word(out, fmt::format("{} in quarantine", counted(quarantined, "event")));
    if (missing > 0) add_word(out, fmt::format("events of {} missing", counted(missing, "book")));
    if (!out.empty()) return out;
    return books.size() == 1 ? std::string("this one")
                             : std::string("none known to be waiting for trust or for events");
}

Page books_page(const Book& book, const PageOptions& options) {
    const auto books = book.books();
    Page page;
    page.has_exceptions = std::any_of(books.begin(), books.end(), [](const Book::KnownBook& b) {
        return b.ineffective > 0 || b.quarantined > 0 || !b.not_kept.empty();
    });
    const auto columns = known_columns(book.info().company);
    if (options.format == Format::json) {
        page.body = page_of("books", {{"shop", hex(book.info().shop)}, {"books", columns.json(books)}}).page();
        return page;
    }
    if (options.format == Format::csv) {
        page.body = columns.csv(books);
        return page;
    }
    Document list(counted(static_cast<std::int64_t>(books.size()), "book"), books_answer(books), ": ");
    list.table(columns.table(books, options.units), "Books");
    for (const auto& b : books) {
        if (auto text = quarantine_text(b); !text.empty()) list.paragraph(std::move(text));
        if (!b.trusted && !b.own && b.events > 0)
            list.paragraph(
                fmt::format("book {}: kept, not counted. Ask its owner for its card, then: tarebook books trust NAME "
                            "--card CARD",
                            short_id(b.id)));
        if (b.withdrawn) list.paragraph(fmt::format("{}: trust withdrawn ({})", b.called, b.why));
        if (b.branches > 1)
            list.paragraph(
                fmt::format("book {}: {} branches, as it was copied and both went on: tarebook list exceptions",
                            short_id(b.id), b.branches));
    }
    list.gap().paragraph("shop " + hex(book.info().shop));
    page.body = page_body(list, book, options);
    return page;
}

std::string admitted_text(const std::vector<Book::KnownBook>& before, const Book& book, const BookId& id) {
    return admitted_text(before, book.books(), id);
}
std::string admitted_text(const std::vector<Book::KnownBook>& before, const std::vector<Book::KnownBook>& after,
                          const BookId& id) {
    std::string out;
    std::int64_t events = 0;
    for (const auto& known : before)
        if (known.id == id) events = known.events;
    for (const auto& known : after) {
        if (known.id != id) continue;
        if (known.events > events)
            out += wrapped(fmt::format("{} came out of quarantine", counted(known.events - events, "event")), 0);
        if (!known.missing.empty())
            out += wrapped(
                fmt::format("its events {} are not here yet: ask for a bundle with them", runs_text(known.missing)), 0);
        if (auto text = quarantine_text(known); !text.empty()) out += wrapped(text, 0);
    }
    return laid_out(out, usual_text);
}

Page merged_page(const Book& book, const Merged& merged, std::int64_t exceptions_before, const PageOptions& options) {
    const auto exceptions = book.number_of_open_findings();
    Page page;
    page.has_exceptions =
        exceptions > exceptions_before || merged.not_counted > 0 || (merged.register_came && !merged.register_counts) ||
        std::any_of(merged.books.begin(), merged.books.end(), [](const MergedBook& b) {
            return !b.is_effective || !b.missing.empty() || b.new_branch || b.quarantined + b.not_kept + b.unknown > 0;
        });
    if (options.format == Format::json) {
        page.body = page_of("merge", {{"events_added", merged.added},
                                      {"events_effective", merged.counted},
                                      {"register_came", merged.register_came},
                                      {"register_is_effective", merged.register_counts},
                                      {"events_not_counted", merged.ineffective},
                                      {"events_quarantined", merged.quarantined},
                                      {"number_of_exceptions_before", exceptions_before},
                                      {"number_of_exceptions", exceptions},
                                      {"books", merged_columns().json(merged.books)}})
                        .page();
        return page;
    }
    if (options.format == Format::csv) {
        page.body = merged_columns().csv(merged.books);
        return page;
    }
    std::string out;
    const auto books = book.books();  // counts every event: once, not for each of a hundred trucks
    for (const auto& b : merged.books) {
        const auto name = name_of(books, b.book);
        const auto outside = b.quarantined + b.not_kept;
        out += b.added == 0 && outside > 0
                   ? fmt::format("{}: {}, none of them new in the book\n", name, counted(b.events, "event"))
               : b.added == 0 ? fmt::format("{}: {}, all here already\n", name, counted(b.events, "event"))
                              : fmt::format("{}: {}, {} new, up to its event {}\n", name, counted(b.events, "event"),
                                            b.added, b.head.seq);
        if (!b.missing.empty())
            out += bulleted(fmt::format("its events {} are not here yet: ask for a bundle with them; the rest counts",
                                        runs_text(b.missing)));
        if (b.unknown > 0)
            out += bulleted(fmt::format(
                "{} of a kind that this program does not know: kept and sent on, not counted here. A newer program "
                "counts them; tarebook check names each",
                b.unknown == 1 ? std::string("1 new event is") : counted(b.unknown, "new event") + " are"));
        if (b.new_branch)
            out += bulleted(
                "its events go on from another one than those here: the book was copied, and both went on; both count "
                "until one is dropped: tarebook list exceptions");
        if (b.quarantined > 0)
            out += bulleted(
                fmt::format("{} in quarantine, outside the book: no key that is trusted here covers {}, or that "
                            "trust is withdrawn: tarebook books",
                            b.quarantined == 1 ? "1 event is" : counted(b.quarantined, "event") + " are",
                            b.quarantined == 1 ? "it" : "them"));
        if (b.not_kept > 0)
            out += bulleted(fmt::format(
                "{} not kept: no key that is trusted here covers {}, and quarantine is full. Once the book is trusted, "
                "merge this bundle again: tarebook books",
                b.not_kept == 1 ? "1 event was" : counted(b.not_kept, "event") + " were",
                b.not_kept == 1 ? "it" : "them"));
        if (!b.is_effective && outside == 0)
            out += bulleted(
                "kept, not counted: this book is not trusted, or its events are signed with another key than "
                "the trusted one: tarebook books");
    }
    const bool said =
        std::any_of(merged.books.begin(), merged.books.end(), [](const MergedBook& b) { return !b.is_effective; });
    if (merged.not_counted > 0 && !said)
        out += wrapped(
            fmt::format("of what is new, {} kept and not counted, as the trust in the book says: tarebook books",
                        merged.not_counted == 1 ? "1 event is" : counted(merged.not_counted, "event") + " are"),
            0);
    if (merged.register_came)
        out += merged.register_counts ? "a register came in, and is in force\n"
               : merged.register_not_kept
                   ? "a register came, and was not kept: its book is not trusted here, or signed with another key, and "
                     "quarantine is full. Once the book is trusted, merge this bundle again\n"
                   : "a register came; it is in quarantine, not in force: its book is not trusted here, or "
                     "signed with another key\n";
    if (!merged.wrote) {
        page.body = laid_out(out + "nothing new; nothing was written\n", options.width);
        return page;
    }
    if (exceptions != exceptions_before)
        out += fmt::format("exceptions: {} before, {} now: tarebook list exceptions\n", exceptions_before, exceptions);
    if (merged.added > 0 || merged.counted > 0)
        out += fmt::format("head: {} {}\n", event_name(merged.own_head.seq), hex(merged.own_head.digest));
    page.body = laid_out(out, options.width);
    return page;
}

}  // namespace tarebook
