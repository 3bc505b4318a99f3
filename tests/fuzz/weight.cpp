// Typed weights. What is accepted is printed back as words that mean the same mass without knowing the scale.
#include "promise.hpp"
#include "tarebook/units/mass.hpp"

using namespace tarebook;
using fuzz::promise;

namespace {

bool means(const std::string& text, Mass mass) {
    const auto again = parse_weight(text, ScaleReads::unknown);
    return again && again->mass == mass;
}

void one(std::string_view text, ScaleReads reads) {
    const auto weight = parse_weight(text, reads);
    if (!weight) return fuzz::helpful(weight.error());
    const auto mass = weight->mass;
    promise(!mass.is_negative(), "a typed weight is never below zero");
    promise(means(weight->typed, mass), "the words kept with a weight mean the same mass, whatever the scale");

    // Decimal pounds go to six places, kilograms too: exact wherever the mass is a whole number of the finest steps.
    if (mass.count() % (Mass::counts_per_pound / 1000) == 0)
        promise(means(pounds_text(mass) + "lb", mass), "a mass of whole 0.001 lb is the same when printed in pounds");
    if (mass.count() % (Mass::counts_per_gram / 10) == 0)
        promise(means(kilograms_text(mass) + "kg", mass), "a mass of whole 0.1 g is the same when printed in kg");
    for (const auto units : {DisplayUnits::lb, DisplayUnits::kg})
        promise(!mass_text(mass, units).empty(), "what was accepted can be shown");
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    for (const auto reads : {ScaleReads::unknown, ScaleReads::lb, ScaleReads::lb_oz, ScaleReads::kg})
        one(fuzz::text_of(data, size), reads);
    return 0;
}
