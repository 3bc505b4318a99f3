// Closing a year: one digest for all its events, and one for its balances.
//
//     MerkleTree tree;                       // RFC 6962, section 2.1
//     for (event of the year, in total order) tree.add(event.digest);
//     hex(tree.root());
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "tarebook/year/year.hpp"

namespace tarebook {

/// A Merkle tree that grows by leaves: SHA-256(0x00 || data) for a leaf, SHA-256(0x01 || left || right) for a node; the
/// left part of a tree of n leaves has the largest power of two below n. Only the whole subtrees so far are kept.
class MerkleTree {
 public:
    /// One leaf more.
    void add(std::string_view data);
    void add(const Digest& digest) {
        add(std::string_view(reinterpret_cast<const char*>(digest.data()), digest.size()));
    }
    [[nodiscard]] Digest root() const;  ///< of no leaves: SHA-256 of nothing
    /// How many leaves were added.
    [[nodiscard]] std::int64_t leaves() const { return leaves_; }

 private:
    struct Whole {
        std::int64_t leaves = 0;
        Digest digest{};
    };
    std::vector<Whole> wholes_;
    std::int64_t leaves_ = 0;
};

/// The digests beside the way from a leaf up to the root (RFC 6962, section 2.1.1), the lowest first. Precondition:
/// `index` is the place of one of the leaves.
std::vector<Digest> inclusion_path(const std::vector<Digest>& leaves, std::size_t index);
/// The root that a leaf, its place and such a way make. Nothing where there is no such place among so many leaves, or
/// the way has another length than it must have.
std::optional<Digest> root_of_path(const Digest& leaf, std::int64_t index, std::int64_t leaves,
                                   const std::vector<Digest>& path);

/// SHA-256 over every line of the balance, in the order of their keys: opening, each term by basis, closing, in counts.
Digest digest_of(const YearBalance& balance);

/// The last event of one book that a seal covers.
struct SealedHead {
    BookId book{};
    std::int64_t seq = 0;
    Digest digest{};
};
/// "BOOK:SEQ:DIGEST BOOK:SEQ:DIGEST", in hex.
std::string heads_text(const std::vector<SealedHead>& heads);
/// The heads of such a text; nothing for any other text.
std::optional<std::vector<SealedHead>> heads_from(std::string_view text);

}  // namespace tarebook
