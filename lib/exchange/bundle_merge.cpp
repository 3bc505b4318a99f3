// Merges bundles into a book, inside one transaction. All of them are verified before the lock is asked for: a bad
// bundle is refused while another program has the book, and no program waits for signatures. Then they are read again,
// under the lock. An error in any of them leaves the book as it was, because the commit comes after the last line of
// the last bundle was compared with what was verified.
#include <sodium.h>

#include <map>

#include "bundle_read.hpp"
#include "tarebook/checks/checks.hpp"
#include "tarebook/exchange/bundle.hpp"

namespace tarebook {
namespace {

class IntoBook : public BundleInto {
 public:
    explicit IntoBook(Merging& merging) : merging_(merging) {}
    Result<void> chain(const BookId& book, const std::string& public_key) override {
        return merging_.segment({book, public_key});
    }
    Result<void> event(const Event& event, std::string_view body, const Digest& digest) override {
        return merging_.event(event, body, digest);
    }
    void head(const Head& head, std::string_view signature) override { merging_.head(head, signature); }
    void entries(const BookId& book, const std::string& public_key, std::int64_t seq, std::string_view lines,
                 std::string_view signature) override {
        merging_.snapshot(book, public_key, seq, lines, signature);
    }
    void person(const PersonName& person) override { merging_.person(person); }

 private:
    Merging& merging_;
};

// The keys of sealed bundles, kept from the first reading to the second: opening one with a locked signing key takes
// Argon2id.
class Unsealing {
 public:
    explicit Unsealing(const Book& book) : book_(book) {}
    Unsealing(const Unsealing&) = delete;
    Unsealing& operator=(const Unsealing&) = delete;
    ~Unsealing() {
        for (auto& [sealed, key] : keys_) sodium_memzero(key.data(), key.size());
    }
    std::optional<std::string> operator()(std::string_view sealed) {
        if (const auto known = keys_.find(sealed); known != keys_.end()) return known->second;
        auto key = book_.unseal(sealed);
        if (key) keys_.emplace(sealed, *key);
        return key;
    }

 private:
    const Book& book_;
    std::map<std::string, std::string, std::less<>> keys_;
};

tl::expected<Merged, FileProblem> take_verified(Book& book, const std::vector<std::filesystem::path>& files,
                                                const Moment& now, const std::vector<BundleDigest>& verified,
                                                const BundleLines::Unseal& unseal) {
    Merging merging(book, now);
    IntoBook into(merging);
    for (std::size_t i = 0; i < files.size(); ++i) {
        auto lines = BundleLines::open(files[i], unseal, book.info().public_key);
        if (!lines) return tl::unexpected(FileProblem{files[i].string(), 0, {}, lines.error()});
        std::int64_t line = 0;
        if (auto good = take_bundle(**lines, book.info().shop, verified[i], into, line); !good)
            return tl::unexpected(FileProblem{files[i].string(), line, {}, good.error()});
    }
    return merging.commit(Judge(book.reference_data()));
}

// A name that a bundle removed: its bytes go from the file, too. What was merged is in the book also where this fails.
void lay_out_where_possible(Book& book) {
    try {
        book.lay_out_anew();
    } catch (const StorageError&) {  // doctor says that it is still to be done
    }
}

}  // namespace

tl::expected<Merged, FileProblem> merge_bundles(Book& book, const std::vector<std::filesystem::path>& files,
                                                const Moment& now) {
    Unsealing unsealing(book);
    const auto unseal = [&](std::string_view sealed) { return unsealing(sealed); };
    const auto& shop = book.info().shop;
    std::vector<BundleDigest> verified;
    for (const auto& file : files) {
        auto lines = BundleLines::open(file, unseal, book.info().public_key);
        if (!lines) return tl::unexpected(FileProblem{file.string(), 0, {}, lines.error()});
        std::int64_t line = 0;
        const auto digest = verify_bundle(**lines, shop, line);
        if (!digest) return tl::unexpected(FileProblem{file.string(), line, {}, digest.error()});
        verified.push_back(*digest);
    }
    auto merged = take_verified(book, files, now, verified, unseal);
    if (merged && book.has_bytes_of_removed()) lay_out_where_possible(book);
    return merged;
}

}  // namespace tarebook
