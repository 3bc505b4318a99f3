#include "tarebook/exchange/sync.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <map>

#include "bundle_write.hpp"
#include "sync_folder.hpp"
#include "tarebook/exchange/begun_entry.hpp"
#include "tarebook/exchange/bundle.hpp"
#include "tarebook/exchange/job_sheet.hpp"
#include "tarebook/units/new_file.hpp"
#include "tarebook/units/word_list.hpp"
#include "units/hex.hpp"

namespace tarebook {
namespace fs = std::filesystem;
namespace {

constexpr auto folder_entry = "sync-folder";

// One sync of a book at a time: the other one's unfinished files would be taken for those of a killed run.
class OneAtATime {
 public:
    explicit OneAtATime(const fs::path& book) {
        const auto folder = sheet_drafts_folder(book);
        std::error_code ignored;
        fs::create_directories(folder.parent_path(), ignored);
        ::mkdir(folder.c_str(), 0700);
        fd_ = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
        // a disk that knows no such locks is taken at its word
        running_ = fd_ >= 0 && ::flock(fd_, LOCK_EX | LOCK_NB) != 0 && errno == EWOULDBLOCK;
    }
    OneAtATime(const OneAtATime&) = delete;
    OneAtATime& operator=(const OneAtATime&) = delete;
    ~OneAtATime() {
        if (fd_ >= 0) ::close(fd_);
    }
    [[nodiscard]] bool other_runs() const { return running_; }

 private:
    int fd_ = -1;
    bool running_ = false;
};

std::string called_or_id(const Book::TrustedBook& one) {
    return one.called.empty() ? hex(one.id).substr(0, 12) : one.called;
}

class Sync {
 public:
    Sync(Book& book, fs::path folder, bool plain, const Moment& now)
        : book_(book), folder_(std::move(folder)), plain_(plain), now_(now), me_(card_of(book.info())) {}

    Result<Synced> run() {
        auto names = names_in(folder_, me_.book);
        if (!names) return fail(names.error());
        for (const auto& name : names->unfinished) ::unlink((folder_ / name).c_str());
        for (auto& one : book_.trusted()) trusted_.emplace(one.id, std::move(one));
        read_notices(names->notices);
        read_parcels(names->parcels);
        take_in();
        find_devices();
        put_out();
        tell_who_waits();
        return std::move(out_);
    }

 private:
    // what is there

    // First those of books that this one trusts. What these know of is no business of ours, by its name alone: in a
    // folder of thousands of trucks a truck reads two notices.
    void read_notices(const std::vector<std::string>& names) {
        std::set<std::string, std::less<>> of_trusted, of_others;
        for (const auto& [id, one] : trusted_) of_trusted.insert(notice_name(id));
        std::vector<std::string> first, others;
        for (const auto& name : names)
            (name == notice_name(me_.book) || of_trusted.contains(name) ? first : others).push_back(name);
        take_notices(first);
        for (const auto& [id, one] : notices_)
            for (const auto& have : one.notice.have)
                if (!trusted_.contains(have.id)) of_others.insert(notice_name(have.id));
        std::erase_if(others, [&](const std::string& name) { return of_others.contains(name); });
        take_notices(others);
    }
    void take_notices(const std::vector<std::string>& names) {
        for (auto& one : notices_in(folder_, names, out_.left)) {
            const auto& card = one.notice.card;
            if (card.book == me_.book) {
                if (card.public_key == me_.public_key && (!own_notice_ || is_older(own_notice_->notice, one.notice)))
                    own_notice_ = std::move(one);
                continue;
            }
            if (card.shop != me_.shop || is_practice(card.book) != is_practice(me_.book)) {
                out_.left.push_back({one.name, WhyLeft::other_shop, {}});
                continue;
            }
            const auto known = trusted_.find(card.book);
            if (known == trusted_.end()) {
                out_.waiting.push_back({card, one.notice.at});
                continue;
            }
            if (known->second.public_key != card.public_key) {
                out_.left.push_back({one.name, WhyLeft::other_key, called_or_id(known->second)});
                continue;
            }
            auto& all = known->second.withdrawn ? withdrawn_notices_ : notices_;
            const auto [at, fresh] = all.try_emplace(card.book, one);
            if (!fresh && is_older(at->second.notice, one.notice)) at->second = std::move(one);
        }
    }

    // Whether a book that this one trusts knows it: then its files are for others.
    [[nodiscard]] bool others_know(const BookId& id) const {
        return std::any_of(notices_.begin(), notices_.end(),
                           [&](const auto& one) { return one.second.notice.wants(id); });
    }
    [[nodiscard]] bool waits(const BookId& id) const {
        return std::any_of(out_.waiting.begin(), out_.waiting.end(),
                           [&](const auto& one) { return one.card.book == id; });
    }

    void read_parcels(const std::vector<std::string>& names) {
        std::set<std::string, std::less<>> not_for_us;
        for (const auto& [id, one] : notices_)
            for (const auto& have : one.notice.have) not_for_us.insert(hex(have.id).substr(0, name_digits));
        for (const auto& one : out_.waiting) not_for_us.insert(hex(one.card.book).substr(0, name_digits));
        not_for_us.erase(hex(me_.book).substr(0, name_digits));
        for (const auto& [id, one] : trusted_) not_for_us.erase(hex(id).substr(0, name_digits));
        for (auto& p : parcels_in(
                 folder_, names, [&](std::string_view digits) { return not_for_us.contains(digits); }, out_.left)) {
            const auto& h = p.header;
            if (h.shop != me_.shop) {
                out_.left.push_back({p.name, WhyLeft::other_shop, {}});
            } else if (h.sender == me_.book) {
                if (h.public_key == me_.public_key)
                    parcels_.push_back(std::move(p));
                else
                    out_.left.push_back({p.name, WhyLeft::other_key, "this book"});
            } else if (const auto known = trusted_.find(h.sender); known == trusted_.end()) {
                if (!others_know(h.sender) && !waits(h.sender))
                    out_.left.push_back({p.name, WhyLeft::unknown, hex(h.sender).substr(0, 12)});
            } else if (known->second.public_key != h.public_key) {
                out_.left.push_back({p.name, WhyLeft::other_key, called_or_id(known->second)});
            } else {
                parcels_.push_back(std::move(p));
            }
        }
    }

    // Read once, however often it is asked for.
    const ParcelLook& look(const FolderParcel& parcel) {
        const auto key = std::pair(parcel.digest, parcel.name);
        auto at = looks_.find(key);
        if (at == looks_.end()) {
            at = looks_.emplace(key, look_at(folder_, parcel)).first;
            if (at->second.fault) out_.left.push_back({parcel.name, *at->second.fault, {}});
        }
        return at->second;
    }
    bool is_whole(const FolderParcel& parcel) { return !look(parcel).fault; }

    // what comes

    [[nodiscard]] bool takes_in(const BookId& id) const {
        if (id == me_.book) return true;
        const auto known = trusted_.find(id);
        return known != trusted_.end() && !known->second.withdrawn;
    }
    bool is_news(const FolderParcel& p) {
        const auto& h = p.header;
        if (const auto sender = trusted_.find(h.sender); sender != trusted_.end() && sender->second.withdrawn) {
            const auto& last = sender->second.last;
            if (h.is_register()) return false;
            if (h.book == h.sender && last && h.first <= last->seq && !book_.holds(h.sender, 1, *last)) return true;
            if (!book_.holds(h.book, h.first, h.end(), Book::Holding::all))
                out_.left.push_back({p.name, WhyLeft::withdrawn, called_or_id(sender->second)});
            return false;
        }
        if (h.is_register()) {
            if (h.sender == me_.book || h.book != h.sender || !p.opens_for(me_.public_key)) return false;
            const auto held = book_.register_held(h.sender, h.public_key);
            return !held || held->seq < h.last;
        }
        return takes_in(h.book) && !book_.holds(h.book, h.first, h.end());
    }

    void take_in() {
        std::vector<const FolderParcel*> news, sealed;
        for (const auto& p : parcels_) {
            if (!is_news(p)) continue;
            if (!p.opens_for(me_.public_key)) {
                sealed.push_back(&p);
                continue;
            }
            if (is_whole(p)) news.push_back(&p);
        }
        std::sort(news.begin(), news.end(), [](const auto* a, const auto* b) {
            return std::tuple(a->header.is_register(), a->header.book, a->header.first, a->header.last) <
                   std::tuple(b->header.is_register(), b->header.book, b->header.first, b->header.last);
        });
        const bool any = !news.empty();
        auto open_before = any ? book_.open_finding_keys() : OpenFindingKeys();
        while (!news.empty()) {
            std::vector<fs::path> files;
            for (const auto* p : news) files.push_back(folder_ / look(*p).name);
            const auto merged = merge_bundles(book_, files, now_);
            if (merged) {
                tell_what_came(*merged);
                break;
            }
            const auto bad = std::find(files.begin(), files.end(), fs::path(merged.error().file)) - files.begin();
            const auto* p = news.at(static_cast<std::size_t>(bad));
            out_.left.push_back({p->name, WhyLeft::refused, merged.error().error.what});
            refused_.insert(p);
            news.erase(news.begin() + bad);
        }
        // What another parcel brought is missed by none.
        for (const auto* p : sealed)
            if (is_news(*p)) out_.left.push_back({p->name, WhyLeft::sealed, name_of(p->header.sender)});
        if (any) out_.new_exceptions = book_.open_findings_beyond(std::move(open_before));
        out_.exceptions = book_.number_of_open_findings();
    }
    void tell_what_came(const Merged& merged) {
        std::map<BookId, std::int64_t> events;
        for (const auto& one : merged.books) events[one.book] += one.added;
        for (const auto& [id, number] : events)
            if (number > 0) out_.came.push_back({name_of(id), number});
        std::sort(out_.came.begin(), out_.came.end(), [](const auto& a, const auto& b) { return a.called < b.called; });
        out_.register_came = merged.register_came && merged.register_counts;
    }
    [[nodiscard]] std::string name_of(const BookId& id) const {
        if (id == me_.book) return "this book";
        const auto known = trusted_.find(id);
        return known == trusted_.end() ? hex(id).substr(0, 12) : called_or_id(known->second);
    }

    // for whom

    // A book from whose copy another one goes on is on a device that is gone, as long as it has said nothing since.
    // Since when is the word of the other one: of a time to come it is not taken, as no device could say anything
    // later.
    [[nodiscard]] bool is_replaced(const BookId& id) const {
        const auto since = replaced_.find(id);
        if (since == replaced_.end()) return false;
        const auto notice = notices_.find(id);
        return notice == notices_.end() ||
               (notice->second.notice.at <= since->second && since->second <= now_.at + std::chrono::days(1));
    }
    // Whether the book is the shop's first one, or goes on from a copy of it.
    [[nodiscard]] bool is_office(BookId id) const {
        for (std::set<BookId> seen; seen.insert(id).second;) {
            if (id == me_.shop) return true;
            if (id == me_.book) {
                if (own_origin_) id = own_origin_->book;
            } else if (const auto one = trusted_.find(id); one != trusted_.end() && one->second.restored) {
                id = one->second.restored->book;
            }
        }
        return false;
    }
    void find_devices() {
        for (auto& one : book_.trusted()) trusted_.insert_or_assign(one.id, one);  // what came may say more of them
        own_origin_ = book_.restored_from();
        if (own_origin_) replaced_[own_origin_->book] = own_origin_->since;
        for (const auto& [id, one] : trusted_)
            if (one.restored && !one.withdrawn)
                replaced_[one.restored->book] = std::max(replaced_[one.restored->book], one.restored->since);
        keys_ = {me_.public_key};
        for (const auto& [id, one] : trusted_) {
            if (id == me_.book || one.withdrawn) continue;
            keys_.push_back(one.public_key);
            if (is_replaced(id)) continue;
            const auto notice = notices_.find(id);
            devices_.push_back(
                {id, called_or_id(one), one.public_key, notice == notices_.end() ? nullptr : &notice->second.notice});
        }
        out_.devices = static_cast<std::int64_t>(devices_.size());
        std::sort(devices_.begin(), devices_.end(), [](const auto& a, const auto& b) { return a.called < b.called; });
        facts_.id = me_.book;
        facts_.public_key = me_.public_key;
        facts_.head = book_.head();
        facts_.news = book_.last_news();
        facts_.held = book_.held();
        facts_.holds = [this](const BookId& id, std::int64_t first, const Head& last) {
            return book_.holds(id, first, last, Book::Holding::all);
        };
        // Who removes files of devices that are gone: the office, as it knows all others, and a book that goes on from
        // a copy those of the one before.
        for (const auto& [id, one] : trusted_)
            if ((one.withdrawn || is_replaced(id)) && (is_office(me_.book) || (own_origin_ && own_origin_->book == id)))
                facts_.gone.push_back({id, one.last, one.withdrawn});
        facts_.has = [this](const BookId& id, const Head& head) {
            if (id == me_.book) return book_.own_digest_at(head.seq) == head.digest;
            const auto there = book_.digests_at(id, head.seq);
            return std::find(there.begin(), there.end(), head.digest) != there.end();
        };
        if (devices_.empty()) return;
        const auto entries = book_.register_snapshot();
        for (const auto line : split(entries, '\n'))
            if (const auto event = event_from_body(line)) facts_.books_of_entries.insert(event->book);
        if (!entries.empty()) facts_.entries = digest_of(entries);
    }

    // what goes

    void put_out() {
        const auto whole = [this](const FolderParcel& p) { return is_whole(p); };
        std::set<std::size_t> removed;
        for (const auto at : parcels_to_remove(facts_, devices_, parcels_, whole)) {
            ::unlink((folder_ / parcels_[at].name).c_str());
            for (const auto& name : parcels_[at].doubles) ::unlink((folder_ / name).c_str());
            ++out_.parcels_removed;
            removed.insert(at);
        }
        remove_notices_of_gone(removed);
        for (const auto& planned : parcels_to_write(facts_, devices_, parcels_, whole))
            if (auto written = write(planned); !written) {
                out_.not_sent = std::move(written.error());
                break;
            }
        if (auto noted = write_notice(); !noted && !out_.not_sent) out_.not_sent = std::move(noted.error());
        out_.head = facts_.head;
    }

    // A notice says what its device has. Once that device is gone, no parcel of it stands here, and no device takes in
    // its book but the one that goes on from it, its word is needed no more.
    void remove_notices_of_gone(const std::set<std::size_t>& removed) {
        std::set<BookId> senders;
        for (std::size_t i = 0; i < parcels_.size(); ++i)
            if (!removed.contains(i)) senders.insert(parcels_[i].header.sender);
        for (const auto& gone : facts_.gone) {
            const auto& all = gone.withdrawn ? withdrawn_notices_ : notices_;
            const auto notice = all.find(gone.id);
            if (notice == all.end() || senders.contains(gone.id)) continue;
            const bool wanted = std::any_of(devices_.begin(), devices_.end(), [&](const SyncDevice& device) {
                const auto& from = trusted_.at(device.id).restored;
                return device.notice && device.notice->wants(gone.id) && !(from && from->book == gone.id);
            });
            if (!wanted) ::unlink((folder_ / notice->second.name).c_str());
        }
    }

    Result<void> write(const PlannedParcel& planned) {
        const bool is_own = planned.book == me_.book;
        std::vector<Book::ChainRun> runs;
        parcel_form::Header header;
        header.book = planned.book;
        header.first = planned.first;
        header.gathers = planned.gathers;
        header.public_key = me_.public_key;
        header.made = now_.at;
        header.sealed = !plain_;
        header.sender = me_.book;
        header.shop = me_.shop;
        header.last = planned.end.seq;
        header.digest = planned.end.digest;
        if (planned.first > 0) runs = is_own ? book_.chain_runs(true, planned.first) : book_.chain_runs(false);
        if (!is_own) std::erase_if(runs, [&](const auto& run) { return run.end.book != planned.book; });
        auto writer =
            BundleWriter::open_parcel(folder_, header, is_own && planned.first > 0 ? keys_ : keys_of(planned.to));
        if (!writer) return fail(in_folder(writer.error()));
        const auto sent = write_bundle(book_, runs, planned.first == 0, now_.at, **writer);
        const auto bytes = (*writer)->close_parcel([&](std::string_view text) { return book_.sign(text); });
        if (!bytes) return fail(in_folder(bytes.error()));
        ++out_.parcels_written;
        out_.bytes_written += *bytes;
        out_.events_sent += sent.events;
        out_.register_sent = out_.register_sent || planned.first == 0;
        for (const auto& device : devices_)
            if (std::find(planned.to.begin(), planned.to.end(), device.id) != planned.to.end() &&
                std::find(out_.sent_to.begin(), out_.sent_to.end(), device.called) == out_.sent_to.end())
                out_.sent_to.push_back(device.called);
        return {};
    }
    [[nodiscard]] std::vector<std::string> keys_of(const std::vector<BookId>& devices) const {
        std::vector<std::string> out{me_.public_key};
        for (const auto& id : devices) out.push_back(trusted_.at(id).public_key);
        return out;
    }
    [[nodiscard]] Error in_folder(Error error) const {
        if (error.name != "cannot-write") return error;
        error.expected = "a folder that may be written, with room";
        error.next = "once there is room, or the folder is there again: tarebook sync goes on";
        return error;
    }

    Result<void> write_notice() {
        DeviceNotice notice;
        notice.card = me_;
        notice.at = now_.at;
        notice.head = facts_.head;
        notice.have = facts_.held;
        for (const auto& [id, one] : trusted_)
            if (const auto held = one.withdrawn ? std::nullopt : book_.register_held(id, one.public_key))
                notice.registers.emplace_back(id, held->digest);
        for (const auto& p : parcels_)
            if (p.header.gathers && p.header.sender != me_.book && !refused_.contains(&p) &&
                p.opens_for(me_.public_key) && book_.holds(p.header.book, p.header.first, p.header.end()) &&
                ((own_notice_ && own_notice_->notice.has_read(p.digest)) || is_whole(p)))
                notice.gathered.push_back(p.digest);
        if (own_notice_ && is_as_before(own_notice_->notice, notice)) return {};
        NewFile file(folder_ / notice_name(me_.book), Readers::by_umask);
        file.write(notice_text(notice, [&](std::string_view text) { return book_.sign(text); }));
        if (file.replace() != Named::no) return {};
        return fail(in_folder({ErrorKind::storage,
                               "cannot-write",
                               fmt::format("{} cannot be written: {}", folder_.string(), std::strerror(errno)),
                               {},
                               {},
                               {}}));
    }
    // A notice of today that says the same stays: a folder that is copied by a network has less to do.
    [[nodiscard]] bool is_as_before(const DeviceNotice& before, const DeviceNotice& now) const {
        constexpr std::chrono::hours fresh{12};
        const auto said = [](const DeviceNotice& n) {
            DeviceNotice out = n;
            out.at = {};
            return notice_text(out, [](std::string_view) { return std::string(64, '\0'); });
        };
        return own_notice_->name == notice_name(me_.book) && before.at <= now.at && now.at - before.at < fresh &&
               said(before) == said(now);
    }

    // who waits

    void tell_who_waits() {
        // Whom the office trusts is the office's word: a truck is not asked for it.
        const bool has_office =
            std::any_of(devices_.begin(), devices_.end(), [&](const auto& device) { return is_office(device.id); });
        std::erase_if(out_.waiting, [&](const auto& one) { return has_office || others_know(one.card.book); });
        for (const auto& device : devices_) {
            if (device.notice && !device.notice->wants(me_.book)) out_.awaited.push_back(device.called);
            auto since = device.notice ? std::optional(device.notice->at) : std::nullopt;
            if (!since)
                for (const auto& p : parcels_)
                    if (p.header.sender == me_.book && p.opens_for(device.public_key) &&
                        (!since || p.header.made < *since))
                        since = p.header.made;
            if (!since || now_.at - *since < longest_silence) continue;
            const auto news = book_.news_since(acknowledged(facts_, device, me_.book));
            if (news.events > 0)
                out_.silent.push_back(
                    {device.called, device.notice ? std::optional(device.notice->at) : std::nullopt, news.events});
        }
    }

    Book& book_;
    const fs::path folder_;
    const bool plain_;
    const Moment now_;
    const BookCard me_;
    std::map<BookId, Book::TrustedBook> trusted_;
    std::map<BookId, FolderNotice> notices_;            // of trusted books
    std::map<BookId, FolderNotice> withdrawn_notices_;  // of books that were trusted
    std::map<BookId, Instant> replaced_;                // books from whose copies others go on, and since when
    std::optional<Book::RestoredFrom> own_origin_;
    std::optional<FolderNotice> own_notice_;
    std::vector<FolderParcel> parcels_;  // of this book and of trusted ones
    std::map<std::pair<Digest, std::string>, ParcelLook> looks_;
    std::set<const FolderParcel*> refused_;
    std::vector<std::string> keys_;
    std::vector<SyncDevice> devices_;
    SyncFacts facts_;
    Synced out_;
};

}  // namespace

Result<Synced> sync_with(Book& book, const fs::path& folder, bool plain, const Moment& now) {
    const OneAtATime one(book.path());
    if (one.other_runs())
        return fail({ErrorKind::refused, "sync-running", "another sync of this book is under way", book.path().string(),
                     "one at a time", "wait until it is done"});
    return Sync(book, folder, plain, now).run();
}

Result<std::vector<Synced::Waiting>> waiting_in(const fs::path& folder, const Book& book) {
    const auto names = names_in(folder, book.info().id);
    if (!names) return fail(names.error());
    std::set<BookId> known{book.info().id};
    for (const auto& one : book.trusted()) known.insert(one.id);
    std::vector<Synced::Waiting> out;
    std::vector<LeftFile> left;
    for (const auto& one : notices_in(folder, names->notices, left)) {
        const auto& card = one.notice.card;
        if (card.shop == book.info().shop && is_practice(card.book) == book.info().practice() &&
            !known.contains(card.book))
            out.push_back({card, one.notice.at});
    }
    return out;
}

Result<BookCard> card_numbered(const fs::path& folder, const std::string& number) {
    const auto names = names_in(folder, {});
    if (!names) return fail(names.error());
    std::vector<LeftFile> left;
    for (const auto& one : notices_in(folder, names->notices, left))
        if (card_number(one.notice.card) == number) return one.notice.card;
    return fail({ErrorKind::refused, "number-unknown", "no card in the folder has that number", number,
                 "the number that `tarebook sync` shows on the other device, after it has put its card there",
                 "read the number once more to each other; a folder that is copied may need some minutes"});
}

std::optional<SyncFolder> sync_folder_of(const fs::path& book) {
    const auto entry = begun_entry(book, folder_entry);
    const auto folder = entry ? entry->at("folder") : std::nullopt;
    if (!folder || folder->empty()) return std::nullopt;
    return SyncFolder{*folder, entry->at("plain") == "yes"};
}

void keep_sync_folder(const fs::path& book, const SyncFolder& folder, Instant now) {
    BegunEntry entry{now, {}};
    entry.set("folder", folder.folder.string());
    entry.set("plain", folder.plain ? "yes" : "no");
    keep_begun_entry(book, folder_entry, entry);
}

}  // namespace tarebook
