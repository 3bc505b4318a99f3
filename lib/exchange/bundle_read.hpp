#pragma once

#include "bundle_bytes.hpp"
#include "tarebook/book/book.hpp"

namespace tarebook {

/// Receives the contents of a bundle, in their order.
class BundleInto {
 public:
    BundleInto() = default;
    BundleInto(const BundleInto&) = delete;
    BundleInto& operator=(const BundleInto&) = delete;
    virtual ~BundleInto() = default;
    virtual Result<void> chain(const BookId& book, const std::string& public_key) = 0;
    virtual Result<void> event(const Event& event, std::string_view body, const Digest& digest) = 0;
    virtual void head(const Head& head, std::string_view signature) = 0;
    virtual void entries(const BookId& book, const std::string& public_key, std::int64_t seq, std::string_view lines,
                         std::string_view signature) = 0;
    virtual void person(const PersonName& person) = 0;
};

/// SHA-256 of all bytes before the closing line, which signs it: this identifies a bundle that was verified.
using BundleDigest = Digest;

/// Verifies a whole bundle and keeps nothing of it. `line`: the number of the line that was read last. Errors: those of
/// merge_bundles.
Result<BundleDigest> verify_bundle(BundleLines& lines, const BookId& shop, std::int64_t& line);

/// Reads a bundle that was verified before: the same bytes have the same signatures. If they are not the same, the
/// error comes at the end at the latest. Precondition: the caller then discards what it took. Errors: bundle-changed,
/// those of `into`.
Result<void> take_bundle(BundleLines& lines, const BookId& shop, const BundleDigest& verified, BundleInto& into,
                         std::int64_t& line);

}  // namespace tarebook
