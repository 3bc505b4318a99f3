#include "tarebook/report/proof.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <nlohmann/json.hpp>

#include "columns.hpp"
#include "layout.hpp"
#include "shared_text.hpp"
#include "tarebook/event/canonical_json.hpp"
#include "tarebook/units/utf8.hpp"
#include "tarebook/units/word_list.hpp"
#include "tarebook/year/seal.hpp"
#include "units/hex.hpp"
#include "year_seal.hpp"

namespace tarebook {

using namespace report;

namespace {

using json = nlohmann::json;

Error refused_proof(std::string name, std::string what, std::string seen, std::string expected, std::string next) {
    return {ErrorKind::refused, std::move(name),     std::move(what),
            std::move(seen),    std::move(expected), std::move(next)};
}
Error no_form(std::string why) {
    return refused_proof("proof-form", "the file is neither a proof nor a signed head: " + why, {},
                         "a file of `tarebook prove` or `tarebook books head`", {});
}
Error broken(std::string why) {
    return refused_proof("proof-broken", "the proof does not hold: " + why, {}, "a proof as it was made",
                         "ask for it again; do not rely on this one");
}

constexpr std::size_t signature_size = 64;

// A program that knows no practice books refuses a head or proof with it.
std::string_view practice_of(const BookId& book) {
    return is_practice(book) ? R"(,"practice":true)" : "";
}
bool has_keys(const json& j, std::size_t keys, bool practice) {
    return practice ? j.size() == keys + 1 && j.at("practice") == true : j.size() == keys;
}

std::string head_line(const Book::SignedHead& head) {
    return fmt::format(R"({{"book":"{}","digest":"{}","head":{},"key":"{}"{},"signature":"{}"}})", hex(head.book),
                       hex(head.head.digest), head.head.seq, head.public_key, practice_of(head.book),
                       hex_of_bytes(head.signature));
}

struct HeadRead {
    BookId book{};
    Head head;
    std::string public_key, signature;
};
std::optional<HeadRead> read_head(std::string_view line) {
    if (not_canonical(line)) return std::nullopt;
    try {
        const auto j = json::parse(line);
        const auto book = book_id_from_hex(j.at("book").get<std::string>());
        const auto digest = digest_from_hex(j.at("digest").get<std::string>());
        const auto signature = bytes_from_hex(j.at("signature").get<std::string>(), signature_size);
        if (!book || !digest || !signature || !has_keys(j, 5, is_practice(*book))) return std::nullopt;
        return HeadRead{*book, {j.at("head").get<std::int64_t>(), *digest}, j.at("key").get<std::string>(), *signature};
    } catch (const json::exception&) {
        return std::nullopt;
    }
}

}  // namespace

Result<NotedHead> parse_noted_head(std::string_view text) {
    while (!text.empty() && (text.back() == '\n' || text.back() == '\r' || text.back() == ' ')) text.remove_suffix(1);
    const auto bad = [&] {
        return fail({ErrorKind::usage,
                     "head-format",
                     "cannot read the head",
                     shortened(text, 80),
                     "E12 and its digest, at least sixteen digits of it: \"E12 9f2c41d07a55e0b1\", or a file of "
                     "`tarebook books head`",
                     {}});
    };
    if (text.starts_with('{')) {
        const auto head = read_head(text);
        if (!head || head->head.seq < 1) return bad();
        return NotedHead{head->book, head->head.seq, hex(head->head.digest), head->signature, head->public_key};
    }
    NotedHead out;
    if (text.size() > 33 && text[32] == ':') {
        out.book = book_id_from_hex(text.substr(0, 32));
        if (!out.book) return bad();
        text.remove_prefix(33);
    }
    if (text.starts_with('E')) text.remove_prefix(1);
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), out.seq);
    const auto used = static_cast<std::size_t>(end - text.data());
    if (error != std::errc() || used >= text.size() || out.seq < 1 || (text[used] != ':' && text[used] != ' '))
        return bad();
    text.remove_prefix(used + 1);
    text = trimmed(text);
    if (text.size() < 16 || text.size() > 64 || !is_hex(text)) return bad();
    out.digest = text;
    return out;
}

std::optional<std::string> contradiction(const Book& book, const NotedHead& head) {
    const auto id = head.book.value_or(book.info().id);
    if (head.signature) {
        const auto digest = digest_from_hex(head.digest);
        std::string key;
        for (const auto& known : book.books())
            if (known.id == id) key = known.public_key;
        if (!key.empty() && !head_signature_holds(key, id, head.seq, *digest, *head.signature))
            return fmt::format("the signature of the noted head {} does not hold under the key known here", head.seq);
    }
    const auto there = book.digests_at(id, head.seq);
    if (there.empty())
        return fmt::format("event {} of book {} was noted, and is not here", head.seq, hex(id).substr(0, 12));
    for (const auto& digest : there)
        if (hex(digest).starts_with(head.digest)) return std::nullopt;
    return fmt::format("event {} of book {} had the digest {}..., here it is {}", head.seq, hex(id).substr(0, 12),
                       head.digest.substr(0, 16), hex(there.front()).substr(0, 16));
}

Result<std::string> signed_head_line(const Book& book) {
    const auto head = book.signed_head();
    if (!head)
        return fail(refused_proof("nothing-signed", "the book has no signed head", {}, "a book with an event", {}));
    return head_line(*head) + "\n";
}

Result<std::string> proof_of(const Book& book, std::string_view name, Instant now) {
    const auto event = book.event_named(name);
    if (!event)
        return fail(refused_proof("event-unknown", "there is no such event", std::string(name),
                                  "E12, or the start of a digest", "tarebook report cylinder ID lists events"));
    const auto year = std::chrono::year_month_day(event->event.when.date()).year();
    const auto year_text = std::to_string(static_cast<int>(year));
    SealWatch watch(book, year, book.events_of_kind(kinds::Seal::name));
    watch.keep_leaves();
    book.each_booked([&](const BookedEvent& e) { watch.see(e); });
    const auto* seal = watch.seal_event();
    if (const Date last = year / 12 / 31; !seal && std::chrono::floor<std::chrono::days>(now) <= last)
        return fail(refused_proof("year-not-sealed", "a proof needs the seal of its year, and that year is not over",
                                  year_text, "a year that was sealed", "seal it in January"));
    if (!seal)
        return fail(refused_proof("year-not-sealed", "a proof needs the seal of its year, and that year has none",
                                  year_text, "a year that was sealed", "tarebook seal " + year_text));
    if (watch.broken())
        return fail(refused_proof("seal-broken", "the seal of that year does not hold in this book", year_text,
                                  "a seal that holds", "tarebook check"));
    const auto& leaves = watch.sealed_leaves();
    const auto at = std::find(leaves.begin(), leaves.end(), event->digest);
    if (at == leaves.end())
        return fail(refused_proof("sealed-without", "that event came in after its year was sealed", event->name,
                                  "an event that the seal covers", "seal the year again: tarebook seal " + year_text));
    const auto head = book.signed_head_of(seal->digest);
    if (!head)
        return fail(refused_proof("seal-broken", "no signed head ends with the seal", year_text, "a seal as recorded",
                                  "tarebook check"));
    const auto index = static_cast<std::size_t>(at - leaves.begin());
    std::string path;
    for (const auto& beside : inclusion_path(leaves, index)) path += (path.empty() ? "\"" : ",\"") + hex(beside) + "\"";
    return fmt::format("{{\"leaf\":{},\"leaves\":{},\"path\":[{}]{},\"proof\":1}}\n{}\n{}\n{}\n", index, leaves.size(),
                       path, practice_of(head->book), canonical_body(event->event), canonical_body(seal->event),
                       head_line(*head));
}

Result<Verified> verify_proof(std::string_view text) {
    constexpr std::size_t largest = 1U << 20U;
    if (text.size() > largest) return fail(no_form("it is longer than a megabyte"));
    const auto lines = split(text, '\n');
    if (lines.size() != 1 && lines.size() != 4) return fail(no_form(fmt::format("it has {} lines", lines.size())));
    const auto head = read_head(lines.back());
    if (!head) return fail(no_form("its last line is not a signed head"));
    if (!head_signature_holds(head->public_key, head->book, head->head.seq, head->head.digest, head->signature))
        return fail(broken("the signature does not hold under the key that the file names"));
    Verified out{head->public_key, head->book, head->head, {}, {}, {}, 0};
    if (lines.size() == 1) return out;
    for (std::size_t i = 0; i < 3; ++i)
        if (const auto wrong = not_canonical(lines[i])) return fail(no_form(fmt::format("line {}: {}", i + 1, *wrong)));
    std::int64_t leaves = 0;
    std::vector<Digest> path;
    try {
        const auto j = json::parse(lines[0]);
        out.leaf = j.at("leaf").get<std::int64_t>();
        leaves = j.at("leaves").get<std::int64_t>();
        if (j.at("proof").get<std::int64_t>() != 1 || !has_keys(j, 4, is_practice(head->book)))
            return fail(no_form("another version"));
        for (const auto& one : j.at("path")) {
            const auto digest = digest_from_hex(one.get<std::string>());
            if (!digest) return fail(no_form("its path"));
            path.push_back(*digest);
        }
    } catch (const json::exception&) {
        return fail(no_form("its first line"));
    }
    auto event = event_from_body(lines[1]);
    const auto seal = event_from_body(lines[2]);
    if (!event || !seal || !std::holds_alternative<kinds::Seal>(seal->what)) return fail(no_form("its events"));
    out.digest = digest_of(lines[1]);
    out.seal = std::get<kinds::Seal>(seal->what);
    if (digest_of(lines[2]) != head->head.digest || seal->book != head->book || seal->seq != head->head.seq)
        return fail(broken("the signed head is not that of the seal"));
    const auto root = root_of_path(out.digest, out.leaf, leaves, path);
    if (!root || hex(*root) != out.seal->root || std::to_string(leaves) != out.seal->events)
        return fail(broken("the event does not lead to the root that was sealed"));
    out.event = std::move(*event);
    return out;
}

Page verified_page(const Verified& v, const std::optional<std::string>& expected_key, const PageOptions& options) {
    Page page;
    const bool right_key = expected_key && *expected_key == v.public_key;
    page.has_exceptions = expected_key && !right_key;
    if (options.format == Format::json) {
        page.body =
            page_of("verify", {{"book", hex(v.book)},
                               {"head", head_json(v.head)},
                               {"key", v.public_key},
                               {"key_as_expected", expected_key ? std::optional(right_key) : std::nullopt},
                               {"event", v.event ? hex(v.digest) : ""},
                               {"act", v.event ? act_of(*v.event) : ""},
                               {"at", v.event ? Field(v.event->when) : Field()},
                               {"year", v.seal ? Field(std::strtoll(v.seal->year.c_str(), nullptr, 10)) : Field()}})
                .page();
        return page;
    }
    std::string out;
    if (v.event)
        out += fmt::format("{}: {}{}\n  it was among the {} events of {} when that year was sealed\n  digest {}\n",
                           moment_text(v.event->when), act_of(*v.event), v.event->by ? ", by " + *v.event->by : "",
                           v.seal->events, v.seal->year, hex(v.digest));
    out += fmt::format("signed head of book {}: event {}, {}\n", hex(v.book), v.head.seq, hex(v.head.digest));
    if (right_key)
        out += "the signature holds under the key that you gave\n";
    else if (expected_key)
        out += fmt::format("SIGNED WITH ANOTHER KEY than you gave:\n  {}\n", v.public_key);
    else
        out += fmt::format(
            "the signature holds under the key\n  {}\ncompare it with the one that you were given, or give "
            "that with --key\n",
            v.public_key);
    page.body = laid_out(out, options.width);
    return page;
}

}  // namespace tarebook
