// A device's notice and the lines of a parcel are what was signed, byte for byte, or nothing; the number of a card.
#include <doctest/doctest.h>
#include <fmt/format.h>
#include <sodium.h>

#include <array>
#include <set>

#include "exchange/parcel_form.hpp"
#include "tarebook/exchange/device_notice.hpp"
#include "units/hex.hpp"

namespace device_notice_test {
using namespace tarebook;

struct Key {
    Key() {
        REQUIRE(sodium_init() >= 0);
        std::array<unsigned char, crypto_sign_SEEDBYTES> seed{};
        seed[0] = 7;
        crypto_sign_seed_keypair(open.data(), secret.data(), seed.data());
    }
    [[nodiscard]] std::string sign(std::string_view text) const {
        std::string out(crypto_sign_BYTES, '\0');
        crypto_sign_detached(reinterpret_cast<unsigned char*>(out.data()), nullptr,
                             reinterpret_cast<const unsigned char*>(text.data()), text.size(), secret.data());
        return out;
    }
    std::array<unsigned char, crypto_sign_PUBLICKEYBYTES> open{};
    std::array<unsigned char, crypto_sign_SECRETKEYBYTES> secret{};
};

DeviceNotice notice_of(const Key& key) {
    DeviceNotice n;
    n.card.shop[3] = 1;
    n.card.book[0] = 2;
    n.card.public_key = hex_of_bytes(key.open);
    n.at = std::chrono::sys_days(std::chrono::year(2026) / 6 / 2) + std::chrono::hours(22);
    n.head = {57, digest_of("head")};
    n.have = {{n.card.shop, {120, digest_of("have")}}, {n.card.book, {}}};
    n.registers = {{n.card.shop, digest_of("register")}};
    n.gathered = {digest_of("one"), digest_of("two")};
    return n;
}

TEST_CASE("notice: what is written is read") {
    const Key key;
    const auto n = notice_of(key);
    const auto sign = [&](std::string_view text) { return key.sign(text); };
    const auto text = notice_text(n, sign);
    const auto read = notice_from(text);
    REQUIRE(read);
    CHECK(notice_text(*read, sign) == text);
    CHECK(read->wants(n.card.shop));
    CHECK(read->wants(n.card.book));
    CHECK_FALSE(read->wants(BookId{}));
    CHECK(read->has_read(digest_of("two")));
    CHECK_FALSE(read->has_read(digest_of("three")));
    CHECK(read->has_register(n.card.shop, digest_of("register")));
    CHECK_FALSE(read->has_register(n.card.book, digest_of("register")));
}

TEST_CASE("notice: each bit of it matters, and each part that is cut off") {
    const Key key;
    const auto text = notice_text(notice_of(key), [&](std::string_view bytes) { return key.sign(bytes); });
    for (std::size_t i = 0; i < text.size(); ++i)
        for (unsigned bit = 0; bit < 8; ++bit) {
            auto other = text;
            other[i] = static_cast<char>(static_cast<unsigned char>(other[i]) ^ (1U << bit));
            if (notice_from(other)) FAIL_CHECK(fmt::format("byte {} bit {}", i, bit));
        }
    for (std::size_t size = 0; size < text.size(); ++size)
        if (notice_from(std::string_view(text).substr(0, size))) FAIL_CHECK(fmt::format("{} bytes", size));
    CHECK_FALSE(notice_from(text + "\n"));
    CHECK_FALSE(notice_from(text + text));
}

TEST_CASE("parcel: its lines are read as they were written, and no other way") {
    parcel_form::Header h;
    h.book[0] = 1;
    h.digest = digest_of("x");
    h.first = 41;
    h.last = 57;
    h.gathers = true;
    h.public_key = std::string(64, 'a');
    h.made = std::chrono::sys_days(std::chrono::year(2026) / 6 / 2);
    h.devices = 3;
    const auto line = parcel_form::header(h);
    const auto read = parcel_form::header_from(line);
    REQUIRE(read);
    CHECK(parcel_form::header(*read) == line);
    CHECK_FALSE(parcel_form::header_from(line + " "));
    for (std::size_t i = 0; i < line.size(); ++i) {
        auto other = line;
        other[i] = '~';
        CHECK_FALSE(parcel_form::header_from(other));
    }
    h.first = 58;
    CHECK_FALSE(parcel_form::header_from(parcel_form::header(h)));  // it ends before it begins
    const parcel_form::Box box{std::string(80, 'b'), std::string(64, 'c')};
    REQUIRE(parcel_form::box_from(parcel_form::box(box)));
    CHECK(parcel_form::box_from(parcel_form::box(box))->box == box.box);
    CHECK_FALSE(parcel_form::box_from(parcel_form::box({std::string(79, 'b'), box.public_key})));
    const auto closing = parcel_form::closing(digest_of("y"), std::string(128, '0'));
    CHECK(closing.size() == parcel_form::closing_size);
    REQUIRE(parcel_form::closing_from(closing));
    CHECK(parcel_form::closing_from(closing)->digest == digest_of("y"));
    CHECK_FALSE(parcel_form::closing_from(std::string_view(closing).substr(1)));
}

TEST_CASE("card: its number is sixteen digits, of the whole card, and is read as people type it") {
    BookCard card;
    card.public_key = std::string(64, 'a');
    std::set<std::string> numbers{card_number(card)};
    for (int i = 0; i < 50; ++i) {
        auto other = card;
        (i < 16 ? other.shop : other.book)[static_cast<std::size_t>(i % 16)] = 1;
        if (i >= 32) other.public_key[static_cast<std::size_t>(i)] = 'b';
        numbers.insert(card_number(other));
    }
    CHECK(numbers.size() > 45);  // shop, book and key: each of them changes it
    for (const auto& number : numbers) {
        CHECK(number.size() == 19);
        CHECK(*number_typed(number) == number);
    }
    CHECK(*number_typed("4821553099140276") == "4821 5530 9914 0276");
    CHECK(*number_typed(" 48-21 5530-9914 0276") == "4821 5530 9914 0276");
    for (const auto* bad : {"", "4821 5530 9914 027", "4821 5530 9914 02767", "4821 5530 9914 o276"})
        CHECK(number_typed(bad).error().name == "number-format");
}

}  // namespace device_notice_test
