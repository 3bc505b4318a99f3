// The fixed words of the record: each enumeration and its text, both ways.
#include <algorithm>
#include <charconv>
#include <utility>

#include "tarebook/event/event.hpp"

namespace tarebook {
namespace {

template <class E>
struct Word {
    E value;
    std::string_view text;
};

constexpr Word<Condition> conditions[] = {{Condition::virgin, "virgin"},
                                          {Condition::reclaimed, "reclaimed"},
                                          {Condition::recycled, "recycled"},
                                          {Condition::recovered, "recovered"}};
constexpr Word<Reason> reasons[] = {{Reason::open, "open"},
                                    {Reason::put_back, "put-back"},
                                    {Reason::leak, "leak"},
                                    {Reason::initial, "initial"},
                                    {Reason::conversion, "conversion"},
                                    {Reason::seasonal, "seasonal"},
                                    {Reason::overcharge, "overcharge"},
                                    {Reason::disposal, "disposal"},
                                    {Reason::purged, "purged"}};
constexpr Word<EntryKind> entry_kinds[] = {{EntryKind::site, "site"},
                                           {EntryKind::appliance, "appliance"},
                                           {EntryKind::circuit, "circuit"},
                                           {EntryKind::cylinder, "cylinder"},
                                           {EntryKind::scale, "scale"},
                                           {EntryKind::machine, "machine"},
                                           {EntryKind::technician, "technician"},
                                           {EntryKind::stock, "stock"}};

template <class E, std::size_t N>
std::string_view text_in(const Word<E> (&words)[N], E value) {
    for (const auto& w : words)
        if (w.value == value) return w.text;
    std::abort();  // each enumeration has its word in this file
}
template <class E, std::size_t N>
std::optional<E> value_in(const Word<E> (&words)[N], std::string_view text) {
    for (const auto& w : words)
        if (w.text == text) return w.value;
    return std::nullopt;
}

}  // namespace

std::string_view text_of(Condition condition) {
    return text_in(conditions, condition);
}
std::string_view text_of(Reason reason) {
    return text_in(reasons, reason);
}
std::string_view text_of(EntryKind kind) {
    return text_in(entry_kinds, kind);
}
std::optional<Condition> condition_from(std::string_view text) {
    return value_in(conditions, text);
}
std::optional<Reason> reason_from(std::string_view text) {
    return value_in(reasons, text);
}
std::optional<EntryKind> entry_kind_from(std::string_view text) {
    return value_in(entry_kinds, text);
}

Mass Weighing::gained() const {
    if (before && after) return after->mass - before->mass;
    return net ? net->mass : Mass();
}

Mass kinds::Release::released() const {
    if (cylinder && weighing.is_pair()) return weighing.before->mass - weighing.after->mass;
    return mass ? mass->mass : Mass();
}

namespace {
Mass mass_of(const std::optional<Weight>& weight) {
    return weight ? weight->mass : Mass();
}
}  // namespace

Mass kinds::Settle::contaminants() const {
    return mass_of(oil) + mass_of(water) + mass_of(air);
}
std::optional<Mass> kinds::Settle::received() const {
    if (!gross || !tare) return std::nullopt;
    return gross->mass - tare->mass;
}
std::optional<Mass> kinds::Settle::stated() const {
    if (refrigerant) return refrigerant->mass;
    const auto all = received();
    if (!all) return std::nullopt;
    return std::max(*all - contaminants(), Mass());
}

std::string_view Event::kind() const {
    return std::visit(
        [](const auto& k) -> std::string_view {
            using K = std::decay_t<decltype(k)>;
            if constexpr (std::is_same_v<K, kinds::Unknown>)
                return k.kind;
            else
                return K::name;
        },
        what);
}

namespace {
template <class... F>
struct Overloaded : F... {
    using F::operator()...;
};
template <class... F>
Overloaded(F...) -> Overloaded<F...>;

bool is_outside(std::string_view from) {
    return from.starts_with("outside:");
}
}  // namespace

std::vector<std::string> cylinders_of(const Event& event) {
    using namespace kinds;
    using List = std::vector<std::string>;
    return std::visit(Overloaded{
                          [](const Recover& k) { return List{k.into}; },
                          [](const Charge& k) { return is_outside(k.from) ? List{} : List{k.from}; },
                          [](const Reuse& k) { return is_outside(k.from) ? List{} : List{k.from}; },
                          [](const Transfer& k) {
                              return k.from == k.into ? List{k.from} : List{k.from, k.into};
                          },
                          [](const Opening& k) { return List{k.cylinder}; },
                          [](const Receive& k) { return List{k.cylinder}; },
                          [](const Return& k) { return List{k.cylinder}; },
                          [](const Destroy& k) { return List{k.cylinder}; },
                          [](const Exchange& k) { return List{k.cylinder}; },
                          [](const Release& k) { return k.cylinder ? List{*k.cylinder} : List{}; },
                          [](const Evacuate& k) { return k.cylinder ? List{*k.cylinder} : List{}; },
                          [](const Weigh& k) { return List{k.cylinder}; },
                          [](const Requalify& k) { return List{k.cylinder}; },
                          [](const Move& k) { return List{k.cylinder}; },
                          [](const Condemn& k) { return List{k.cylinder}; },
                          [](const Reclassify& k) { return List{k.cylinder}; },
                          [](const Lost& k) { return List{k.cylinder}; },
                          [](const Found& k) { return List{k.cylinder}; },
                          [](const AirCheck& k) { return List{k.cylinder}; },
                          [](const Identify& k) { return k.cylinder ? List{*k.cylinder} : List{}; },
                          [](const Settle& k) { return List{k.cylinder}; },
                          [](const Recycle& k) { return List{k.cylinder}; },
                          [](const StocktakeWeigh& k) { return List{k.cylinder}; },
                          [](const StocktakeMissing& k) { return List{k.cylinder}; },
                          [](const Entry& k) { return k.entry == EntryKind::cylinder ? List{k.code} : List{}; },
                          [](const auto&) { return List{}; },
                      },
                      event.what);
}

std::string_view appliance_named_by(const Event& event) {
    using namespace kinds;
    return std::visit(Overloaded{
                          [](const Leak& k) -> std::string_view { return k.appliance; },
                          [](const Inspect& k) -> std::string_view { return k.appliance; },
                          [](const Plan& k) -> std::string_view { return k.appliance; },
                          [](const Mothball& k) -> std::string_view { return k.appliance; },
                          [](const Extension& k) -> std::string_view { return k.appliance; },
                          [](const auto&) -> std::string_view { return {}; },
                      },
                      event.what);
}

std::string circuit_named_by(const Event& event) {
    return std::visit(
        [](const auto& k) -> std::string {
            if constexpr (requires { std::optional<std::string>(k.circuit); })
                return std::optional<std::string>(k.circuit).value_or("");
            else
                return {};
        },
        event.what);
}

bool is_about_books(std::string_view kind) {
    return kind == kinds::Seal::name || kind == kinds::Trust::name || kind == kinds::Withdraw::name ||
           kind == kinds::Merge::name || kind == kinds::Typist::name || kind == kinds::RemoveName::name;
}

std::string_view leak_named_by(const Event& event) {
    using namespace kinds;
    return std::visit(Overloaded{
                          [](const Charge& k) { return k.leak ? std::string_view(*k.leak) : std::string_view(); },
                          [](const Reuse& k) { return k.leak ? std::string_view(*k.leak) : std::string_view(); },
                          [](const Repair& k) -> std::string_view { return k.leak; },
                          [](const LeakTest& k) -> std::string_view { return k.leak; },
                          [](const auto&) -> std::string_view { return {}; },
                      },
                      event.what);
}

std::string_view stocktake_named_by(const Event& event) {
    return std::visit(
        [](const auto& k) -> std::string_view {
            if constexpr (requires { std::string_view(k.count); })
                return k.count;
            else
                return {};
        },
        event.what);
}

std::string leak_code(std::int64_t number) {
    std::string code("L-");
    return code.append(std::to_string(number));
}
std::optional<std::int64_t> leak_number(std::string_view code) {
    std::int64_t n = 0;
    if (!code.starts_with("L-")) return std::nullopt;
    const auto* end = code.data() + code.size();
    const auto [stop, error] = std::from_chars(code.data() + 2, end, n);
    if (error != std::errc() || stop != end || n < 1 || leak_code(n) != code) return std::nullopt;
    return n;
}

std::optional<RegisterChange> register_change(const Event& event) {
    if (const auto* k = std::get_if<kinds::Entry>(&event.what))
        return RegisterChange{k->entry, k->code, k->adds, k->values};
    if (const auto* k = std::get_if<kinds::Requalify>(&event.what)) {
        FieldValues values{{"tested", {k->tested, {}}}};
        if (k->mark) values["test_mark"] = {*k->mark, {}};
        return RegisterChange{EntryKind::cylinder, k->cylinder, false, values};
    }
    if (const auto* k = std::get_if<kinds::Convert>(&event.what)) {
        FieldValues values = k->values;
        values["refrigerant"] = {k->refrigerant, {}};
        return RegisterChange{EntryKind::appliance, k->appliance, false, values};
    }
    if (const auto* k = std::get_if<kinds::FilterDrier>(&event.what); k && k->machine)
        return RegisterChange{EntryKind::machine,
                              *k->machine,
                              false,
                              {{"drier_changed", {date_text(event.when.date()), {}}},
                               {"drier_gas", {k->refrigerant.value_or(""), {}}},
                               {"drier_oil", {k->oil.value_or(""), {}}}}};
    return std::nullopt;
}

}  // namespace tarebook
