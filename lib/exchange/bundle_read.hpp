#pragma once

#include "bundle_bytes.hpp"
#include "tarebook/book/book.hpp"

namespace tarebook {

/// Where what a bundle tells goes, in its order.
class BundleInto {
 public:
    BundleInto() = default;
    BundleInto(const BundleInto&) = delete;
    BundleInto& operator=(const BundleInto&) = delete;
    virtual ~BundleInto() = default;
    virtual Result<void> chain(const BookId& book, const std::string& public_key) = 0;
    virtual Result<void> event(const Event& event, std::string_view body, const Digest& digest) = 0;
    virtual void head(const Head& head, std::string_view signature) = 0;
    virtual void entries(const BookId& book, const std::string& public_key, std::int64_t seq,
                         std::string_view lines) = 0;
};

/// Of all bytes before the closing line, which it signs: by this a bundle that was verified is known again.
using BundleDigest = Digest;

/// Verifies all of it, and keeps none of it. `line`: the number of the line that was looked at last. Errors as of
/// merge_bundles.
Result<BundleDigest> verify_bundle(BundleLines& lines, const BookId& shop, std::int64_t& line);

/// Takes in a bundle that was verified before: the same bytes bear the same signatures. Where they are not the same,
/// the error comes at the end at the latest, and whoever took them must forget them. Errors: bundle-changed, those of
/// `into`.
Result<void> take_bundle(BundleLines& lines, const BookId& shop, const BundleDigest& verified, BundleInto& into,
                         std::int64_t& line);

}  // namespace tarebook
