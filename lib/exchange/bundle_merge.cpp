// Bundles into a book, inside one transaction. Whatever is wrong with one of them leaves the book as it was, because
// nothing is committed before the last line of the last one was seen.
#include "bundle_read.hpp"
#include "tarebook/bundle.hpp"
#include "tarebook/checks.hpp"

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
    void entries(const BookId& book, const std::string& public_key, std::int64_t seq, std::string_view lines) override {
        merging_.snapshot(book, public_key, seq, lines);
    }

 private:
    Merging& merging_;
};

}  // namespace

tl::expected<Merged, FileProblem> merge_bundles(Book& book, const std::vector<std::filesystem::path>& files,
                                                const Moment& now) {
    Merging merging(book);
    IntoBook into(merging);
    for (const auto& file : files) {
        auto lines = BundleLines::open(file, [&](std::string_view sealed) { return book.unseal(sealed); });
        if (!lines) return tl::unexpected(FileProblem{file.string(), 0, {}, lines.error()});
        std::int64_t line = 0;
        if (auto good = read_bundle(**lines, book.info().shop, into, line); !good)
            return tl::unexpected(FileProblem{file.string(), line, {}, good.error()});
    }
    return merging.commit(Judge(), now);
}

}  // namespace tarebook
