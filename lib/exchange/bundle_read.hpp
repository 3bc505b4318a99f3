#pragma once

#include "bundle_bytes.hpp"
#include "tarebook/book.hpp"

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

/// `line`: the number of the line that was looked at last. Errors as of merge_bundles.
Result<void> read_bundle(BundleLines& lines, const BookId& shop, BundleInto& into, std::int64_t& line);

}  // namespace tarebook
