#include "tarebook/ledger/register.hpp"

#include <algorithm>
#include <set>

namespace tarebook {
namespace {
std::size_t index_of(EntryKind kind) {
    return static_cast<std::size_t>(kind);
}
}  // namespace

const std::vector<FieldRule>& field_rules(EntryKind kind) {
    using enum FieldType;
    static const std::vector<FieldRule> site = {{"name", text, {}},
                                                {"owner", text, {}},
                                                {"owner_group", text, {}},
                                                {"zone", zone, {}},
                                                {"country", FieldType::country, {}},
                                                {"address", text, {}},
                                                {"altitude", FieldType::altitude, {}},
                                                {"leak_rate_method", word, "annualizing|rolling"},
                                                {"rule_packs", text, {}}};
    static const std::vector<FieldRule> appliance = {
        {"category", word,
         "commercial-refrigeration|industrial-process|comfort-cooling|residential-light-commercial-ac|"
         "refrigerated-transport|other"},
        {"refrigerant", FieldType::refrigerant, {}},
        {"full_charge", mass, {}},
        {"full_charge_to", mass, {}},
        {"charge_basis", word, "maker|calculated|measured|range"},
        {"model", text, {}},
        {"serial", text, {}},
        {"linked_to", text, {}},
        {"installed", date, {}},
        {"detection_system", flag, {}},
        {"hermetic", flag, {}},
        {"listed_use", flag, {}},
        {"residential", flag, {}},
        {"oil", word, oil_words},
        {"evacuate_to", pressure, {}},
        {"test_pressure", pressure, {}},
        {"name", text, {}}};
    static const std::vector<FieldRule> circuit = {{"serves", text, {}},
                                                   {"close", text, {}},
                                                   {"bring", text, {}},
                                                   {"pipes", text, {}},
                                                   {"volumes", text, {}},
                                                   {"suction_group", text, {}},
                                                   {"suction_pressure", pressure, {}},
                                                   {"side_test_pressure", pressure, {}}};
    static const std::vector<FieldRule> cylinder = {
        {"use", word, "recovery|consolidation|supply"},
        {"refrigerant", FieldType::refrigerant, {}},
        {"wc", water_capacity, {}},
        {"tare", mass, {}},
        {"spec", text, {}},
        {"serial", text, {}},
        {"tested", month, {}},
        {"test_mark", text, {}},
        {"test_basis", word, "clean-service|clean-service-proof|star|ammonia"},
        {"flammable", flag, {}},
        {"belongs_to", text, {}},
        {"country", FieldType::country, {}},
        {"place", text, {}},
        {"held_for", text, {}},
        {"stamped_limit", mass, {}},
        {"cap", mass, {}}};
    static const std::vector<FieldRule> scale = {{"reads", word, "lb|lb-oz|kg"},
                                                 {"division", mass, {}},
                                                 {"accuracy", scale_accuracy, {}},
                                                 {"calibrated", date, {}},
                                                 {"name", text, {}}};
    static const std::vector<FieldRule> machine = {{"made", date, {}},
                                                   {"flammable", flag, {}},
                                                   {"last_gas", FieldType::refrigerant, {}},
                                                   {"drier_changed", date, {}},
                                                   {"drier_gas", FieldType::refrigerant, {}},
                                                   {"drier_oil", word, oil_words},
                                                   {"serial", text, {}},
                                                   {"name", text, {}}};
    static const std::vector<FieldRule> technician = {{"name", text, {}},
                                                      {"company", text, {}},
                                                      {"certificate", text, {}},
                                                      {"certificate_type", word, "I|II|III|universal"},
                                                      {"left", date, {}}};
    static const std::vector<FieldRule> stock = {{"refrigerant", FieldType::refrigerant, {}},
                                                 {"place", text, {}},
                                                 {"at_least", mass, {}},
                                                 {"price", FieldType::price, {}}};
    switch (kind) {
        case EntryKind::site:
            return site;
        case EntryKind::appliance:
            return appliance;
        case EntryKind::circuit:
            return circuit;
        case EntryKind::cylinder:
            return cylinder;
        case EntryKind::scale:
            return scale;
        case EntryKind::machine:
            return machine;
        case EntryKind::technician:
            return technician;
        case EntryKind::stock:
            return stock;
    }
    std::abort();
}

void Entry::set(const std::string& field, const OrderKey& from, FieldValue value) {
    facts_.clear();
    auto& list = fields_[field];
    auto it = std::lower_bound(list.begin(), list.end(), from,
                               [](const DatedValue& d, const OrderKey& k) { return d.from < k; });
    if (it != list.end() && it->from == from)
        it->value = std::move(value);
    else
        list.insert(it, {from, std::move(value)});
}

void Entry::unset(const OrderKey& from) {
    facts_.clear();
    for (auto it = fields_.begin(); it != fields_.end();) {
        std::erase_if(it->second, [&](const DatedValue& d) { return d.from == from; });
        it = it->second.empty() ? fields_.erase(it) : std::next(it);
    }
}

const FieldValue* Entry::at(std::string_view field, const OrderKey& when) const {
    const auto it = fields_.find(field);
    if (it == fields_.end()) return nullptr;
    const auto& list = it->second;
    auto after = std::upper_bound(list.begin(), list.end(), when,
                                  [](const OrderKey& k, const DatedValue& d) { return k < d.from; });
    return after == list.begin() ? &list.front().value : &std::prev(after)->value;
}

std::optional<std::string> Entry::text(std::string_view field, const OrderKey& when) const {
    const auto* v = at(field, when);
    if (!v || v->text.empty()) return std::nullopt;  // an emptied field is not on record
    return v->text;
}
std::optional<Mass> Entry::mass(std::string_view field, const OrderKey& when) const {
    const auto* v = at(field, when);
    return v ? v->mass : std::nullopt;
}

void RegisterInMemory::apply(const Event& event) {
    const auto change = register_change(event);
    if (!change) return;
    auto& entry =
        entries_[index_of(change->entry)].try_emplace(change->code, change->entry, change->code).first->second;
    for (const auto& [name, value] : change->values) entry.set(name, event.order(), value);
    if (change->entry == EntryKind::site) groups_.clear();
}

CylinderFacts facts_said_by(const kinds::Entry& entry) {
    CylinderFacts out;
    for (const auto& [name, value] : entry.values) out.take(name, value.text, value.mass);
    return out;
}

const kinds::Entry* added_cylinder(const Event& event) {
    const auto* entry = std::get_if<kinds::Entry>(&event.what);
    return entry && entry->adds && entry->entry == EntryKind::cylinder ? entry : nullptr;
}

void RegisterInMemory::retract(const Event& event) {
    const auto change = register_change(event);
    if (!change) return;
    auto& kind = entries_[index_of(change->entry)];
    const auto it = kind.find(change->code);
    if (it == kind.end()) return;
    it->second.unset(event.order());
    if (it->second.empty()) {
        latest_[index_of(change->entry)] = nullptr;
        kind.erase(it);
    }
    if (change->entry == EntryKind::site) groups_.clear();
}

const Entry* RegisterInMemory::find(EntryKind kind, std::string_view code) const {
    auto& latest = latest_[index_of(kind)];
    if (latest && latest->first == code) return &latest->second;
    const auto& codes = entries_[index_of(kind)];
    const auto it = codes.find(code);
    if (it == codes.end()) return nullptr;
    latest = &*it;
    return &it->second;
}

std::size_t RegisterInMemory::size() const {
    std::size_t n = 0;
    for (const auto& kind : entries_) n += kind.size();
    return n;
}

std::string RegisterInMemory::group_of(std::string_view owner) const {
    if (const auto known = groups_.find(owner); known != groups_.end()) return known->second;
    // The latest value in total order of any site of the owner counts; DbRegister has the same rule.
    std::optional<OrderKey> latest;
    std::string group(owner);
    for (const auto& [code, entry] : entries_[index_of(EntryKind::site)]) {
        const auto owners = entry.fields().find("owner");
        const auto groups = entry.fields().find("owner_group");
        if (owners == entry.fields().end() || groups == entry.fields().end()) continue;
        if (owners->second.back().value.text != owner) continue;
        const auto& last = groups->second.back();
        if (!last.value.text.empty() && (!latest || *latest < last.from)) {
            latest = last.from;
            group = last.value.text;
        }
    }
    groups_.emplace(owner, group);
    return group;
}

void CylinderFacts::take(std::string_view field, std::string_view text, const std::optional<Mass>& mass) {
    const auto said = [&] {  // an emptied field is not on record
        return text.empty() ? std::nullopt : std::optional<std::string>(text);
    };
    if (field == "use")
        use = said().value_or(CylinderFacts().use);
    else if (field == "refrigerant")
        refrigerant = said();
    else if (field == "spec")
        spec = said();
    else if (field == "tested")
        tested = said();
    else if (field == "test_basis")
        test_basis = said();
    else if (field == "serial")
        serial = said();
    else if (field == "belongs_to")
        belongs_to = said();
    else if (field == "place")
        place = said();
    else if (field == "country")
        country = said();
    else if (field == "tare")
        tare = mass;
    else if (field == "stamped_limit")
        stamped_limit = mass;
    else if (field == "flammable")
        flammable_rated = text.empty() ? std::nullopt : std::optional(text == "yes");
    else if (field == "wc" && mass)
        water_capacity = Volume::of_water(*mass);
    else if (field == "wc") {
        // Litres stay text: they are no whole count.
        const auto litres = parse_water_capacity(text, ScaleReads::unknown);
        water_capacity = litres ? std::optional(*litres) : std::nullopt;
    }
}

namespace {
CylinderFacts facts_of(const Entry& e, const OrderKey& when) {
    CylinderFacts f;
    for (const auto& [name, values] : e.fields())
        if (const auto* value = e.at(name, when)) f.take(name, value->text, value->mass);
    return f;
}
}  // namespace

const CylinderFacts& Entry::facts_at(const OrderKey& when) const {
    if (facts_.empty()) {
        std::set<OrderKey> changes;
        for (const auto& [name, values] : fields_)
            for (const auto& value : values) changes.insert(value.from);
        if (changes.empty()) changes.insert(when);
        for (const auto& from : changes) facts_.emplace_back(from, facts_of(*this, from));
    }
    // The earliest value holds for all earlier times too, as in at().
    const auto after = std::upper_bound(facts_.begin(), facts_.end(), when,
                                        [](const OrderKey& k, const auto& f) { return k < f.first; });
    return after == facts_.begin() ? facts_.front().second : std::prev(after)->second;
}

const CylinderFacts* cylinder_facts(const Register& reg, std::string_view code, const OrderKey& when) {
    const auto* e = reg.find(EntryKind::cylinder, code);
    return e ? &e->facts_at(when) : nullptr;
}

std::string site_of(std::string_view circuit) {
    return std::string(circuit.substr(0, circuit.find('/')));
}
std::string appliance_of(std::string_view circuit) {
    return std::string(appliance_in(circuit));
}
std::string_view appliance_in(std::string_view circuit) {
    const auto first = circuit.find('/');
    return first == std::string_view::npos ? circuit : circuit.substr(0, circuit.find('/', first + 1));
}

std::optional<Mass> full_charge(const Entry& appliance, const OrderKey& when) {
    const auto low = appliance.mass("full_charge", when);
    const auto high = appliance.mass("full_charge_to", when);
    if (!low) return std::nullopt;
    return high ? scaled(*low + *high, 1, 2) : *low;
}

std::optional<PlaceFacts> place_facts(const Register& reg, std::string_view circuit, const OrderKey& when) {
    PlaceFacts p;
    p.site = site_of(circuit);
    p.appliance = appliance_of(circuit);
    const auto* appliance = reg.find(EntryKind::appliance, p.appliance);
    if (!appliance) return std::nullopt;
    if (auto r = appliance->text("refrigerant", when)) p.refrigerant = *r;
    p.full_charge = full_charge(*appliance, when);
    if (const auto* site = reg.find(EntryKind::site, p.site))
        if (auto o = site->text("owner", when)) p.owner = *o;
    return p;
}

std::string stock_code(std::string_view refrigerant, std::string_view place) {
    const auto coded = [](std::string_view words) {
        std::string out;
        for (const char c : words) {
            const bool taken = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' ||
                               c == '_' || c == '.';
            if (c != ')') out += taken ? c : c == '(' ? '_' : '-';
        }
        return out;
    };
    return place.empty() ? coded(refrigerant) : coded(place) + '/' + coded(refrigerant);
}

std::string event_name(std::int64_t seq) {
    return "E" + std::to_string(seq);
}

}  // namespace tarebook
