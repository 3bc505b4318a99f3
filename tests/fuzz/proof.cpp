// What somebody hands over who has no book: a proof or a signed head, a head that was noted, a book's card. Whatever
// the text: a refusal with a sentence, or something that the seeds' key signed.
#include <string>

#include "promise.hpp"
#include "tarebook/report/books_page.hpp"
#include "tarebook/report/proof.hpp"

using namespace tarebook;
using fuzz::promise;

namespace {
constexpr std::string_view key_of_seeds = "605f1b0d93e17403527a77f1e0b90b008c29bd5e7d47e30254afe76423545a9b";
}

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const auto text = fuzz::text_of(data, size);
    if (const auto verified = verify_proof(text)) {
        promise(verified->public_key == key_of_seeds, "nothing holds that nobody signed");
        promise(!verified_page(*verified, std::string(key_of_seeds), {}).body.empty(), "what holds can be shown");
        promise(!verified->event || verified->seal, "an event is proven by a seal");
    } else {
        fuzz::helpful(verified.error());
    }
    if (const auto card = parse_card(text)) {
        promise(text.find(hex(card->book)) != text.npos && text.find(card->public_key) != text.npos,
                "a card says the book and its key");
        promise(is_practice(card->book) == is_practice(card->shop), "a practice book belongs to a practice shop");
    } else {
        fuzz::helpful(card.error());
    }
    if (const auto noted = parse_noted_head(text))
        promise(noted->seq > 0 && noted->digest.size() >= 16, "a head names an event");
    else
        fuzz::helpful(noted.error());
    return 0;
}
