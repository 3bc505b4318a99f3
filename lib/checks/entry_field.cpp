#include "tarebook/checks/entry_field.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstdlib>

#include "tarebook/units/accuracy.hpp"
#include "tarebook/units/atmosphere.hpp"
#include "tarebook/units/country.hpp"
#include "tarebook/units/nearest.hpp"
#include "tarebook/units/word_list.hpp"

namespace tarebook {
namespace {

// Keeps the text as typed if it can be read.
template <class T>
Result<FieldValue> as_typed(const Result<T>& read, const std::string& typed) {
    if (!read) return fail(read.error());
    return FieldValue{typed, {}};
}

Result<FieldValue> as_weight(const Result<Weight>& read) {
    if (!read) return fail(read.error());
    return FieldValue{read->typed, read->mass};
}

Result<FieldValue> one_of(const FieldRule& rule, const std::string& typed) {
    if (is_among(typed, rule.words)) return FieldValue{typed, {}};
    return usage("word-unknown", fmt::format("{1} does not take \"{0}\"", typed, rule.name), typed,
                 std::string(rule.words), did_you_mean(typed, split(rule.words, '|')));
}

}  // namespace

Result<FieldValue> parse_field(const Catalogue& catalogue, const FieldRule& rule, const std::string& typed,
                               ScaleReads reads) {
    switch (rule.type) {
        case FieldType::text:
            return FieldValue{typed, {}};
        case FieldType::mass:
            return as_weight(parse_weight(typed, reads));
        case FieldType::water_capacity: {
            const auto volume = parse_water_capacity(typed, reads);
            if (!volume) return fail(volume.error());
            const auto water = parse_weight(typed, reads);
            return water ? as_weight(water) : FieldValue{typed, {}};  // a capacity in litres is no weight
        }
        case FieldType::month:
            return as_typed(parse_month(typed), typed);
        case FieldType::date:
            return as_typed(parse_date(typed), typed);
        case FieldType::refrigerant: {
            const auto gas = catalogue.parse(typed);
            if (!gas) return fail(gas.error());
            return FieldValue{std::string((*gas)->designation), {}};
        }
        case FieldType::flag:
            if (typed != "yes" && typed != "no")
                return usage("flag-word", fmt::format("{} is yes or no", rule.name), typed, "yes|no");
            return FieldValue{typed, {}};
        case FieldType::pressure: {
            if (typed.empty()) return FieldValue{};
            auto pressure = parse_pressure(typed);
            if (!pressure) return fail(pressure.error());
            if (rule.name == "evacuate_to") {
                const auto level = pressure->absolute(standard_atmosphere());
                if (!(AbsolutePressure::kilopascals(0) < level) ||
                    !(level < AbsolutePressure::kilopascals(standard_atmosphere().in_kilopascals() / 2)))
                    return usage("evacuate-level", "that is not a level to evacuate to", typed,
                                 "a vacuum: 500micron, 250micron, 29inHg");
            }
            if ((rule.name == "test_pressure" || rule.name == "side_test_pressure") &&
                pressure->absolute(standard_atmosphere()) <= standard_atmosphere())
                return usage("test-pressure", "no plate marks that for a pressure test", typed,
                             "the most that the plate allows: 300psig, 20barg");
            return FieldValue{std::move(pressure->typed), {}};
        }
        case FieldType::scale_accuracy:
            return as_typed(parse_scale_accuracy(typed), typed);
        case FieldType::altitude:
            return typed.empty() ? FieldValue{} : as_typed(parse_altitude(typed), typed);
        case FieldType::zone:
            return as_typed(moment_in_zone(Instant(), typed), typed);
        case FieldType::country: {
            if (typed.empty()) return FieldValue{};
            auto code = parse_country(typed);
            if (!code) return fail(std::move(code.error()));
            return FieldValue{std::move(*code), {}};
        }
        case FieldType::price: {
            if (typed.empty()) return FieldValue{};
            const auto price = parse_price(typed);
            if (!price) return fail(price.error());
            return FieldValue{price_text(*price), {}};
        }
        case FieldType::word:
            return one_of(rule, typed);
    }
    std::abort();
}

Result<void> check_code(EntryKind kind, const std::string& code) {
    const char* form = kind == EntryKind::appliance ? "SITE/APPLIANCE"
                       : kind == EntryKind::circuit ? "SITE/APPLIANCE/CIRCUIT"
                       : kind == EntryKind::stock   ? "GAS, or PLACE/GAS"
                                                    : "CODE";
    const auto list = split(code, '/');
    // of the whole shop, or of a place
    const std::size_t of_stock = std::min<std::size_t>(list.size(), 2);
    const std::size_t parts = kind == EntryKind::appliance ? 2
                              : kind == EntryKind::circuit ? 3
                              : kind == EntryKind::stock   ? of_stock
                                                           : 1;
    bool good = list.size() == parts && code.size() <= 96 && code.back() != '/';
    for (const auto& part : list)
        good = good && !part.empty() &&
               part.find_first_not_of("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_.") ==
                   std::string::npos;
    if (good) return {};
    const auto word = text_of(kind);
    const bool vowel = std::string_view("aeiou").find(word.front()) != std::string_view::npos;
    return usage("code-format", fmt::format("that is not the code of {} {}", vowel ? "an" : "a", word), code,
                 fmt::format("{}, of letters, digits, dots, hyphens and underscores", form));
}

}  // namespace tarebook
