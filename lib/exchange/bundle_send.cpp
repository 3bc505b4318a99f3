#include <fmt/format.h>
#include <sodium.h>

#include "bundle_bytes.hpp"
#include "bundle_form.hpp"
#include "bundle_write.hpp"
#include "tarebook/exchange/bundle.hpp"
#include "tarebook/units/word_list.hpp"
#include "units/hex.hpp"

namespace tarebook {

SentBundle write_bundle(const Book& book, const std::vector<Book::ChainRun>& runs, bool with_register, Instant now,
                        BundleWriter& writer) {
    DigestedLines out(writer);
    SentBundle sent;
    const auto& info = book.info();
    sent.own_head = book.head();
    const auto names = book.person_names();
    out.line(bundle_form::header({info.id, info.shop, info.public_key, now, !names.empty()}));
    for (const auto& person : names) out.line(bundle_form::name(person));
    for (const auto& run : runs) {
        out.line(bundle_form::chain({run.end.book, run.first, run.end.public_key, run.previous}));
        book.each_of_run(run, [&](std::string_view body) {
            out.line(body);
            ++sent.events;
        });
        out.line(bundle_form::head(run.end.head, hex_of_bytes(run.end.signature)));
        sent.heads.push_back(run.end.head);
    }
    if (with_register) {
        const auto entries = book.register_snapshot();
        out.line(bundle_form::register_begin(info.id, sent.own_head.seq));
        for (const auto line : split(entries, '\n')) {
            out.line(line);
            ++sent.entries;
        }
        out.line(bundle_form::register_end(
            sent.entries, hex_of_bytes(book.sign(register_message(info.id, sent.own_head.seq, digest_of(entries))))));
    }
    const auto digest = out.digest();
    sent.lines = out.lines() + 1;
    out.line(bundle_form::end(digest, sent.lines - 1, sent.events,
                              hex_of_bytes(book.sign(bundle_form::end_message(digest)))));
    return sent;
}

Result<SentBundle> send_bundle(const Book& book, const std::filesystem::path& to, const SendOptions& options,
                               Instant now) {
    if (auto taken = name_in_use(to)) return fail(std::move(*taken));
    const auto runs =
        options.events ? book.chain_runs(!options.all_books, options.from) : std::vector<Book::ChainRun>();
    if (runs.empty() && !options.with_register)
        return fail({ErrorKind::refused, "nothing-to-send", "there is no event to send",
                     options.from > 1 ? fmt::format("since E{}", options.from - 1) : std::string(),
                     "a book with later events", "leave --since out to send all of it"});
    auto opened = BundleWriter::open(to, options.seal_to);
    if (!opened) return fail(opened.error());
    auto sent = write_bundle(book, runs, options.with_register, now, **opened);
    const auto bytes = (*opened)->close();
    if (!bytes) return fail(bytes.error());
    sent.bytes = *bytes;
    return sent;
}

}  // namespace tarebook
