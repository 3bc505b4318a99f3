// Reads a bundle line by line, with one line in memory: a first time to verify it to its last byte, before a lock is
// asked for; a second time to take it in.
#include "bundle_read.hpp"

#include <fmt/format.h>

#include "bundle_form.hpp"
#include "tarebook/checks/draft_form.hpp"
#include "tarebook/exchange/bundle.hpp"

namespace tarebook {
namespace {

using namespace bundle_form;

constexpr const char* copy_again = "copy the file again; if it stays so, send it again from that book";

Error line_error(std::string name, std::string what, std::string seen, std::string expected,
                 std::string next = copy_again) {
    return {ErrorKind::refused, std::move(name),     std::move(what),
            std::move(seen),    std::move(expected), std::move(next)};
}

class Reader {
 public:
    Reader(const BookId& shop, BundleLines& lines, BundleInto& into, const BundleDigest* verified)
        : shop_(shop), lines_(lines), into_(into), verified_(verified) {}

    /// The number of the line that the error is about.
    [[nodiscard]] std::int64_t line() const { return number_; }

    Result<BundleDigest> run() {
        auto read = read_all();
        if (read) return digest_;
        if (!verified_ || not_taken_) return fail(std::move(read.error()));
        return fail(line_error("bundle-changed", "the file is not the one that was verified a moment ago",
                               std::move(read.error().what), "a file that stays as it is until the merge is done",
                               "once nothing writes to the file any more, merge it again"));
    }

 private:
    Result<void> read_all() {
        auto first = next();
        if (!first) return fail(first.error());
        if (!*first)
            return fail(line_error("bundle-torn", "the file is empty", {}, "a bundle that `tarebook send` made"));
        if (auto good = take_header(**first); !good) return good;
        while (!ended_) {
            auto line = next();
            if (!line) return fail(line.error());
            if (!*line)
                return fail(line_error("bundle-torn", "the bundle ends before its closing line",
                                       fmt::format("{} lines", number_), "a whole bundle"));
            if (auto good = take(**line); !good) return good;
        }
        auto after = next();
        if (!after) return fail(after.error());
        if (*after)
            return fail(line_error("bundle-form", "something follows the closing line",
                                   std::string(after->value().substr(0, 40)), "nothing after it"));
        return {};
    }
    Result<std::optional<std::string_view>> next() {
        auto line = lines_.next();
        if (!line || *line) ++number_;
        return line;
    }
    void count(std::string_view line) {
        hasher_.add(line);
        hasher_.add("\n");
    }
    Result<void> form(std::string_view line, std::string_view expected) const {
        return fail(line_error("bundle-form", "this line is out of place", std::string(line.substr(0, 60)),
                               std::string(expected)));
    }

    Result<void> take_header(std::string_view text) {
        if (text.ends_with('\r'))
            return fail(line_error("bundle-line-ends", "the file's line ends were changed on its way", "CR LF", "LF",
                                   "carry the file as it is: no editor, no mail text, no transfer in text mode"));
        const auto line = read(text);
        if (const auto* other = std::get_if<OtherVersion>(&line))
            return fail(line_error("bundle-version", "the bundle was written by a newer Tarebook",
                                   fmt::format("version {}", other->version),
                                   fmt::format("version {} or {}", version, version_with_names),
                                   "install the newer version here, then merge it"));
        const auto* header = std::get_if<Header>(&line);
        if (!header)
            return fail(line_error("bundle-form", "the file does not begin as a bundle does",
                                   std::string(text.substr(0, 60)), "{\"bundle\":1, ...",
                                   "give a file that `tarebook send` made"));
        if (auto good = not_apart(shop_, header->shop); !good) return good;
        if (header->shop != shop_)
            return fail(
                line_error("bundle-other-shop", "the bundle is of another shop", hex(header->shop), hex(shop_),
                           "ask for a bundle of a book of this shop; a book joins one when it is made: tarebook start "
                           "--shop CARD"));
        header_ = *header;
        count(text);
        return {};
    }

    Result<void> take(std::string_view text) {
        if (in_register_) return take_in_register(text);
        if (!looks_like_one(text)) {
            if (!chain_) return form(text, "a chain, a register or the closing line");
            return take_event(text);
        }
        const auto line = read(text);
        if (std::holds_alternative<std::monostate>(line))
            return fail(line_error("bundle-not-canonical", "this line is not as a bundle has it, byte for byte",
                                   std::string(text.substr(0, 60)), "a line as `tarebook send` writes it"));
        if (const auto* end = std::get_if<End>(&line)) return take_end(*end, text);
        count(text);
        if (const auto* head = std::get_if<HeadLine>(&line)) return take_head(*head, text);
        if (chain_) return form(text, "the head of the chain that was begun");
        if (const auto* chain = std::get_if<Chain>(&line)) {
            if (auto good = not_apart(shop_, chain->book); !good) return good;
            chain_ = *chain;
            last_ = {chain->first - 1, chain->previous};
            if (chain->first == 1 && chain->previous != Digest{})
                return fail(line_error("bundle-chain", "the first event of a chain follows nothing",
                                       hex(chain->previous), hex(Digest{})));
            return taken(into_.chain(chain->book, chain->public_key));
        }
        if (const auto* begin = std::get_if<RegisterBegin>(&line)) {
            in_register_ = *begin;
            entries_.clear();
            entry_count_ = 0;
            return {};
        }
        if (const auto* named = std::get_if<NameLine>(&line)) {
            const auto& [code, salt, name] = named->person;
            if (!header_.has_names) return form(text, "a bundle whose first line says that names follow");
            if (person_code(salt, name) != code || text_form_problem("words", name, "the name"))
                return form(text, "the name that its code stands for");
            into_.person(named->person);
            return {};
        }
        return form(text, "a chain, a register or the closing line");
    }

    Result<void> take_event(std::string_view text) {
        auto event = event_from_canonical_line(text);
        if (!event) return fail(event.error());
        count(text);
        if (event->book != chain_->book)
            return fail(line_error("bundle-chain", "the event is of another book than its chain", hex(event->book),
                                   hex(chain_->book)));
        if (event->seq != last_.seq + 1 || event->previous != last_.digest)
            return fail(line_error("bundle-chain", "the event does not follow the one before it",
                                   fmt::format("number {} after {}", event->seq, hex(event->previous).substr(0, 12)),
                                   fmt::format("number {} after {}", last_.seq + 1, hex(last_.digest).substr(0, 12))));
        last_ = {event->seq, digest_of(text)};
        ++events_;
        return taken(into_.event(*event, text, last_.digest));
    }
    Result<void> taken(Result<void> done) {
        not_taken_ = !done;
        return done;
    }
    // A kind or a version that this program does not know is kept byte for byte, if its bytes are canonical.
    static Result<Event> event_from_canonical_line(std::string_view text) {
        auto event = event_from_line(text);
        if (!event)
            return fail(line_error("bundle-not-canonical",
                                   "this line is not an event as a bundle has it: " + event.error().seen,
                                   std::string(text.substr(0, 60)), "RFC 8785, an event as a book stores it"));
        return event;
    }

    Result<void> take_head(const HeadLine& line, std::string_view text) {
        if (!chain_ || last_.seq < chain_->first) return form(text, "a chain with events before its head");
        if (line.head.seq != last_.seq || line.head.digest != last_.digest)
            return fail(line_error("bundle-chain", "the head is not that of the event before it", head_text(line.head),
                                   head_text(last_)));
        if (!verified_ &&
            !head_signature_holds(chain_->public_key, chain_->book, line.head.seq, line.head.digest, line.signature))
            return fail(line_error("bundle-signature",
                                   "the signature of the head does not hold under the key of its chain",
                                   chain_->public_key, "a head that the book itself signed"));
        into_.head(line.head, line.signature);
        chain_.reset();
        return {};
    }

    Result<void> take_in_register(std::string_view text) {
        if (!looks_like_one(text)) {
            constexpr std::size_t largest = 256U << 20U;
            auto entry = event_from_canonical_line(text);
            if (!entry) return fail(entry.error());
            if (!std::holds_alternative<kinds::Entry>(entry->what) || entries_.size() + text.size() > largest)
                return form(text, "entries of a register, of at most 256 MiB");
            count(text);
            entries_.append(text).append("\n");
            ++entry_count_;
            return {};
        }
        const auto line = read(text);
        const auto* end = std::get_if<RegisterEnd>(&line);
        if (!end || end->entries != entry_count_) return form(text, "the end of the register");
        if (in_register_->book != header_.sender ||
            (!verified_ && !register_signature_holds(header_.public_key, in_register_->book, in_register_->seq,
                                                     digest_of(entries_), end->signature)))
            return fail(line_error("bundle-signature",
                                   "the signature of the register does not hold under the sender's key",
                                   header_.public_key, "a register that its sender signed"));
        count(text);
        // The book decides each time it uses these entries whether it trusts this key.
        into_.entries(in_register_->book, header_.public_key, in_register_->seq, entries_, end->signature);
        in_register_.reset();
        return {};
    }

    Result<void> take_end(const End& end, std::string_view text) {
        if (chain_) return form(text, "the head of the chain that was begun");
        if (end.lines != number_ - 1 || end.events != events_)
            return fail(line_error("bundle-digest", "the closing line counts other lines or events than there are",
                                   fmt::format("{} lines, {} events", end.lines, end.events),
                                   fmt::format("{} lines, {} events", number_ - 1, events_)));
        digest_ = hasher_.digest();
        const auto& expected = verified_ ? *verified_ : end.digest;
        if (digest_ != expected || end.digest != expected)
            return fail(line_error("bundle-digest", "the bundle's bytes are not those that were sent", hex(end.digest),
                                   hex(digest_)));
        if (!verified_ && !signature_holds(header_.public_key, end_message(digest_), end.signature))
            return fail(line_error("bundle-signature",
                                   "the signature of the bundle does not hold under its sender's key",
                                   header_.public_key, "a bundle that its sender signed"));
        ended_ = true;
        return {};
    }

    const BookId shop_;
    BundleLines& lines_;
    BundleInto& into_;
    const BundleDigest* verified_;  ///< of bytes whose signatures hold; empty at the first reading
    Header header_;
    Hasher hasher_;
    std::optional<Chain> chain_;
    std::optional<RegisterBegin> in_register_;
    std::string entries_;
    std::int64_t entry_count_ = 0, number_ = 0, events_ = 0;
    Head last_;
    BundleDigest digest_{};
    bool ended_ = false, not_taken_ = false;
};

// Discards what a bundle has: for verifying alone.
class Nowhere : public BundleInto {
 public:
    Result<void> chain(const BookId&, const std::string&) override { return {}; }
    Result<void> event(const Event&, std::string_view, const Digest&) override { return {}; }
    void head(const Head&, std::string_view) override {}
    void entries(const BookId&, const std::string&, std::int64_t, std::string_view, std::string_view) override {}
    void person(const PersonName&) override {}
};

}  // namespace

Result<BundleDigest> verify_bundle(BundleLines& lines, const BookId& shop, std::int64_t& line) {
    Nowhere nowhere;
    Reader reader(shop, lines, nowhere, nullptr);
    auto out = reader.run();
    line = reader.line();
    return out;
}

Result<void> take_bundle(BundleLines& lines, const BookId& shop, const BundleDigest& verified, BundleInto& into,
                         std::int64_t& line) {
    Reader reader(shop, lines, into, &verified);
    auto out = reader.run();
    line = reader.line();
    if (!out) return fail(std::move(out.error()));
    return {};
}

Result<void> verify_bundle(std::string_view bytes, const BookId& shop) {
    auto lines = BundleLines::of(bytes);
    std::int64_t line = 0;
    if (auto good = verify_bundle(*lines, shop, line); !good) return fail(std::move(good.error()));
    return {};
}

}  // namespace tarebook
