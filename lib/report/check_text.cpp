#include "check_text.hpp"

#include <algorithm>
#include <array>

namespace tarebook::report {
namespace {

struct CheckWords {
    std::string_view check, words;
};
constexpr std::array check_words{
    CheckWords{"over-limit", "OVER its limit"},
    CheckWords{"fill-limit", "OVER its limit"},
    CheckWords{"service-pressure", "mark too low for the gas"},
    CheckWords{"flammable-rating", "flammable gas, cylinder not rated for it"},
    CheckWords{"machine-flammable", "flammable gas, machine not made for it"},
    CheckWords{"non-refillable", "cylinder for one filling was filled again"},
    CheckWords{"out-of-test", "filled though out of test"},
    CheckWords{"leaking-cylinder", "filled or moved though it leaks"},
    CheckWords{"condemned-cylinder", "filled though condemned"},
    CheckWords{"test-gas", "tested with oxygen or air"},
    CheckWords{"other-refrigerant", "another gas came into it"},
    CheckWords{"circuit-refrigerant", "got a gas that is not its own"},
    CheckWords{"mixed-gas", "mixed gas went in"},
    CheckWords{"spoiled-gas", "burnt-out or acid gas went in"},
    CheckWords{"identified-otherwise", "identifier shows another gas, or air"},
    CheckWords{"weight-beyond-cylinder", "weight beyond what it can hold"},
    CheckWords{"draw-exceeds-reading", "gave more than its weights allow"},
    CheckWords{"other-owner", "gas of another owner went in"},
    CheckWords{"reclaim-only", "gas of several owners went in"},
    CheckWords{"cylinder-gone", "used though it left or is lost"},
    CheckWords{"future-time", "its time is in the future"},
    CheckWords{"malformed", "event does not have the form of its kind"},
    CheckWords{"clock-went-back", "clock of the device went back"},
    CheckWords{"clock-ahead", "recorded ahead of the clock here"},
    CheckWords{"gap", "weight does not meet the book"},
    CheckWords{"weight-off-scale", "weight that its scale cannot show"},
    CheckWords{"digits-swapped", "two digits look swapped"},
    CheckWords{"wrong-way", "weight moved the wrong way"},
    CheckWords{"below-tare", "lighter than its tare"},
    CheckWords{"overdrawn", "more went out than the book had"},
    CheckWords{"transfer-sides-differ", "two sides of a transfer differ"},
    CheckWords{"full-charge-exceeded", "recovery larger than the full charge"},
    CheckWords{"charge-exceeds-full-charge", "more than the full charge went in"},
    CheckWords{"charge-of-used-gas", "used gas recorded as a charge"},
    CheckWords{"two-owners", "gas of two owners in one cylinder"},
    CheckWords{"reuse-condition", "used gas in a worse condition than asked"},
    CheckWords{"service-ban", "gas that is barred from it"},
    CheckWords{"recycle-incomplete", "cleaned in part, or a test failed"},
    CheckWords{"condition-by-word", "better condition without a proof"},
    CheckWords{"statement-without-return", "statement that names no return"},
    CheckWords{"statement-differs", "statement differs from what was sent"},
    CheckWords{"statement-sum", "statement does not add up"},
    CheckWords{"statement-gas", "reclaimer found another gas"},
    CheckWords{"vacuum-short", "opened above the vacuum asked for"},
    CheckWords{"vacuum-not-readable", "vacuum that its gauge cannot show"},
    CheckWords{"evacuation-short", "evacuated less deep than asked"},
    CheckWords{"certificate-type", "certificate does not cover the appliance"},
    CheckWords{"mothball-not-evacuated", "mothballed under pressure"},
    CheckWords{"entered-twice", "one act stands twice"},
    CheckWords{"two-places", "at two places at one time"},
    CheckWords{"drawn-before-filled", "drawn from before it was filled"},
    CheckWords{"not-in-register", "moved, and in no register"},
    CheckWords{"register-differs", "two books say different things of it"},
    CheckWords{"two-branches", "book was copied, and both went on"},
    CheckWords{"weighed-though-gone", "weighed though it left or is lost"},
    CheckWords{"entry-holds-gas", "its entry was voided, and it holds gas"},
};

const CheckWords* known(std::string_view check) {
    const auto* it =
        std::find_if(check_words.begin(), check_words.end(), [&](const CheckWords& one) { return one.check == check; });
    return it == check_words.end() ? nullptr : it;
}

}  // namespace

std::string words_of_check(std::string_view check) {
    if (const auto* one = known(check)) return std::string(one->words);
    std::string out(check);
    std::replace(out.begin(), out.end(), '-', ' ');
    return out;
}

std::string words_of_flag(std::string_view flag) {
    return std::string(flag == "reclaim-only"           ? "for reclaim only"
                       : flag == "leaking"              ? "LEAKING"
                       : flag == "mixed"                ? "mixed gas"
                       : flag == "over-limit"           ? "OVER its limit"
                       : flag == "out-of-test"          ? "out of test"
                       : flag == "not-in-register"      ? "not in the register"
                       : flag == "identified-otherwise" ? "identified as another gas"
                                                        : flag);
}

std::string with_plain_words(std::string text) {
    struct Said {
        std::string_view code, words;
    };
    constexpr std::array<Said, 13> limits{
        {{"80-percent-at-77F", "80 % liquid at 77 F"},
         {"80-percent-at-25C", "80 % liquid at 25 C"},
         {"80-percent-where-stored", "80 % liquid where it is stored"},
         {"not-liquid-full-at-131F", "not liquid-full at 131 F"},
         {"not-liquid-full-at-55C", "not liquid-full at 55 C"},
         {"not-liquid-full-where-stored", "not liquid-full where it is stored"},
         {"mixed-lightest-at-130F", "lightest gas of a mixture at 130 F"},
         {"mixed-lightest-at-54C", "lightest gas of a mixture at 54 C"},
         {"transport-fill", "filling for transport"},
         {"unknown-contents-65-percent", "65 % for unknown contents"},
         {"hydrocarbon-or-ammonia-35-percent", "35 % where it may be a hydrocarbon or ammonia"},
         {"stamped-limit", "limit stamped on it"},
         {"filling-density", "filling density"}}};
    for (const auto& [code, words] : limits)
        for (auto at = text.find(code); at != std::string::npos; at = text.find(code, at + words.size()))
            text.replace(at, code.size(), words);
    return text;
}

}  // namespace tarebook::report
