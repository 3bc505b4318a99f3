#include <doctest/doctest.h>

#include <array>

#include "support/year_book.hpp"
#include "tarebook/year/seal.hpp"

using namespace tarebook;
using tarebook::test::lb;
using tarebook::test::YearBook;

namespace {

std::string bytes(std::string_view digits) {
    std::string out;
    for (std::size_t i = 0; i < digits.size(); i += 2)
        out += static_cast<char>(std::stoi(std::string(digits.substr(i, 2)), nullptr, 16));
    return out;
}

}  // namespace

TEST_CASE("the Merkle tree gives the roots that are published for RFC 6962's hashing") {
    // The eight inputs and roots that the test programs of certificate transparency logs share; from memory.
    constexpr std::array<const char*, 8> inputs{
        "", "00", "10", "2021", "3031", "40414243", "5051525354555657", "606162636465666768696a6b6c6d6e6f"};
    constexpr std::array<const char*, 8> roots{"6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d",
                                               "fac54203e7cc696cf0dfcb42c92a1d9dbaf70ad9e621f4bd8d98662f00e3c125",
                                               "aeb6bcfe274b70a14fb067a5e5578264db0fa9b51af5e0ba159158f329e06e77",
                                               "d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7",
                                               "4e3bbb1f7b478dcfe71fb631631519a3bca12c9aefca1612bfce4c13a86264d4",
                                               "76e67dadbcdf1e10e1b74ddc608abd2f98dfb16fbce75277b5232a127f2087ef",
                                               "ddb89be403809e325750d3d263cd78929c2942b7942a34b77e122c9594a74c8c",
                                               "5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328"};
    MerkleTree tree;
    CHECK(hex(tree.root()) == "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
    for (std::size_t i = 0; i < inputs.size(); ++i) {
        tree.add(bytes(inputs[i]));
        CHECK(hex(tree.root()) == roots[i]);
    }
    CHECK(tree.leaves() == 8);
}

TEST_CASE("the root of a tree grown leaf by leaf is that of the definition, for every size up to 70") {
    // RFC 6962, section 2.1: split at the largest power of two below n
    struct Slow {
        static Digest root(const std::vector<std::string>& d, std::size_t from, std::size_t to) {
            if (to - from == 1) return digest_of(std::string(1, '\0') + d[from]);
            std::size_t k = 1;
            while (2 * k < to - from) k *= 2;
            const auto text = [](const Digest& x) { return std::string(x.begin(), x.end()); };
            return digest_of(std::string(1, '\1') + text(root(d, from, from + k)) + text(root(d, from + k, to)));
        }
    };
    MerkleTree tree;
    std::vector<std::string> leaves;
    for (int n = 1; n <= 70; ++n) {
        leaves.push_back("event " + std::to_string(n));
        tree.add(leaves.back());
        CHECK(tree.root() == Slow::root(leaves, 0, leaves.size()));
    }
}

TEST_CASE("heads are read back as they were written, and other words are none") {
    SealedHead one, two;
    one.book.fill(0xab), one.seq = 81, one.digest.fill(0x12);
    two.book.fill(0x01), two.seq = 7, two.digest.fill(0xff);
    const auto text = heads_text({one, two});
    const auto back = heads_from(text);
    REQUIRE(back);
    REQUIRE(back->size() == 2);
    CHECK(back->front().seq == 81);
    CHECK(back->back().digest == two.digest);
    for (const auto* bad : {"x", "ab:1:cd", "::", "E81"}) CHECK_FALSE(heads_from(bad));
    CHECK_FALSE(heads_from(text + "0"));
}

TEST_CASE("the digest of a balance changes with any of its figures, and with nothing else") {
    const auto shop = [](const std::string& net) {
        YearBook b;
        b.entry("2024-01-01 08:00", EntryKind::cylinder, "J-1", {{"use", {"supply", {}}}});
        kinds::Receive k;
        k.cylinder = "J-1", k.from = "Harlan Supply", k.refrigerant = "R-404A";
        k.weighing.net = lb(net);
        b.take("2026-02-01 09:00", k);
        return b;
    };
    auto a = shop("25lb"), b = shop("25lb"), c = shop("25.001lb");
    CHECK(digest_of(a.balance(2026)) == digest_of(b.balance(2026)));
    CHECK(digest_of(a.balance(2026)) != digest_of(c.balance(2026)));
    CHECK(digest_of(a.balance(2026)) != digest_of(a.balance(2027)));
    kinds::Weigh weigh;  // no gap, no figure
    weigh.cylinder = "J-1", weigh.gross = lb("42lb");
    b.take("2026-02-02 09:00", weigh);
    CHECK(digest_of(a.balance(2026)) == digest_of(b.balance(2026)));
}
