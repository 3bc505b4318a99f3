// Closing a year: one digest that stands for all its events, one that stands for its balances.
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

/// SHA-256(0x00 || data) for a leaf, SHA-256(0x01 || left || right) for a node; the left part of a tree of n leaves has
/// the largest power of two below n. Only the whole subtrees so far are kept.
class MerkleTree {
 public:
    void add(std::string_view data);
    void add(const Digest& digest) {
        add(std::string_view(reinterpret_cast<const char*>(digest.data()), digest.size()));
    }
    [[nodiscard]] Digest root() const;  ///< of no leaves: SHA-256 of nothing
    [[nodiscard]] std::int64_t leaves() const { return leaves_; }

 private:
    struct Whole {
        std::int64_t leaves = 0;
        Digest digest{};
    };
    std::vector<Whole> wholes_;
    std::int64_t leaves_ = 0;
};

/// The digests beside the way from a leaf up to the root (RFC 6962, section 2.1.1), the lowest first. `index` must be
/// one of the leaves.
std::vector<Digest> inclusion_path(const std::vector<Digest>& leaves, std::size_t index);
/// The root that a leaf, its place and such a way make; nothing where the way has another length than it must have.
std::optional<Digest> root_of_path(const Digest& leaf, std::int64_t index, std::int64_t leaves,
                                   const std::vector<Digest>& path);

/// Over every line of the balance, in the order of their keys: opening, each term by basis, closing, in counts.
Digest digest_of(const YearBalance& balance);

struct SealedHead {
    BookId book{};
    std::int64_t seq = 0;
    Digest digest{};
};
std::string heads_text(const std::vector<SealedHead>& heads);
/// Nothing where the words are no heads.
std::optional<std::vector<SealedHead>> heads_from(std::string_view text);

}  // namespace tarebook
