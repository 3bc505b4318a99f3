// The lines of a bundle, for a file of its own and for a parcel.
#pragma once

#include <vector>

#include "bundle_bytes.hpp"
#include "tarebook/exchange/bundle.hpp"

namespace tarebook {

/// Writes all lines; the caller closes the writer. Of what it gives back the size is not filled in.
SentBundle write_bundle(const Book& book, const std::vector<Book::ChainRun>& runs, bool with_register, Instant now,
                        BundleWriter& writer);

}  // namespace tarebook
