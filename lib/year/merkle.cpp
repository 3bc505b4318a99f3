#include "tarebook/year/seal.hpp"

#include <algorithm>

namespace tarebook {
namespace {

std::string_view bytes_of(const Digest& digest) {
    return {reinterpret_cast<const char*>(digest.data()), digest.size()};
}

Digest node(const Digest& left, const Digest& right) {
    std::string bytes(1, '\x01');
    bytes += bytes_of(left);
    bytes += bytes_of(right);
    return digest_of(bytes);
}

}  // namespace

void MerkleTree::add(std::string_view data) {
    std::string bytes(1, '\0');
    bytes += data;
    wholes_.push_back({1, digest_of(bytes)});
    ++leaves_;
    while (wholes_.size() > 1 && wholes_[wholes_.size() - 2].leaves == wholes_.back().leaves) {
        const auto right = wholes_.back();
        wholes_.pop_back();
        auto& left = wholes_.back();
        left = {left.leaves + right.leaves, node(left.digest, right.digest)};
    }
}

namespace {

Digest leaf_of(const Digest& data) {
    std::string bytes(1, '\0');
    bytes += bytes_of(data);
    return digest_of(bytes);
}
std::size_t left_size(std::size_t n) {
    std::size_t k = 1;
    while (2 * k < n) k *= 2;
    return k;
}
Digest root_of(const std::vector<Digest>& leaves, std::size_t begin, std::size_t end) {
    if (end - begin == 1) return leaf_of(leaves[begin]);
    const auto middle = begin + left_size(end - begin);
    return node(root_of(leaves, begin, middle), root_of(leaves, middle, end));
}

}  // namespace

std::vector<Digest> inclusion_path(const std::vector<Digest>& leaves, std::size_t index) {
    std::vector<Digest> out;
    std::size_t begin = 0, end = leaves.size();
    while (end - begin > 1) {
        const auto middle = begin + left_size(end - begin);
        if (index < middle) {
            out.push_back(root_of(leaves, middle, end));
            end = middle;
        } else {
            out.push_back(root_of(leaves, begin, middle));
            begin = middle;
        }
    }
    std::reverse(out.begin(), out.end());
    return out;
}

std::optional<Digest> root_of_path(const Digest& leaf, std::int64_t index, std::int64_t leaves,
                                   const std::vector<Digest>& path) {
    if (index < 0 || index >= leaves) return std::nullopt;
    std::vector<bool> on_the_right;  // from the root down: whether the leaf is in the right half
    for (std::int64_t begin = 0, end = leaves; end - begin > 1;) {
        const auto middle = begin + static_cast<std::int64_t>(left_size(static_cast<std::size_t>(end - begin)));
        on_the_right.push_back(index >= middle);
        (index >= middle ? begin : end) = middle;
    }
    if (on_the_right.size() != path.size()) return std::nullopt;
    Digest out = leaf_of(leaf);
    for (const auto& beside : path) {
        out = on_the_right.back() ? node(beside, out) : node(out, beside);
        on_the_right.pop_back();
    }
    return out;
}

Digest MerkleTree::root() const {
    if (wholes_.empty()) return digest_of(std::string_view());
    auto at = wholes_.rbegin();
    Digest out = at->digest;
    while (++at != wholes_.rend()) out = node(at->digest, out);
    return out;
}

}  // namespace tarebook
