#include "event_row.hpp"

namespace tarebook::report {
namespace {

std::string_view or_empty(const std::optional<std::string>& text) {
    return text ? std::string_view(*text) : std::string_view();
}
std::optional<Mass> mass_of(const std::optional<Weight>& weight) {
    return weight ? std::optional(weight->mass) : std::nullopt;
}

// The parts of a kind into their columns: handed in by a Skimmer as they lie, or by an Event's list of fields.
class PartsOf {
 public:
    /// `kind` is looked at when the parts come.
    PartsOf(EventRow& row, const std::string_view& kind) : row_(row), kind_(kind) {}

    void operator()(std::string_view key, std::string_view v) {
        if (key == "circuit" || key == "appliance")
            row_.circuit = v;
        else if (key == "cylinder")
            row_.cylinder = v;
        else if (key == "from" || key == "into" || key == "to" || key == "with")
            place(key, v);
        else if (key == "for_cylinder")
            row_.other_cylinder = v;
        else if (key == "refrigerant")
            row_.refrigerant = v;
        else if (key == "condition")
            row_.condition = v;
        else if (key == "reason")
            row_.reason = v;
        else if (key == "text" || key == "part" || key == "points")
            own_words = v;
    }
    void operator()(std::string_view key, Mass v) {
        if (key == "gross")
            row_.gross = v;
        else if (key == "mass" || key == "net" || key == "refrigerant")
            row_.net = v;
    }
    void operator()(std::string_view key, const WeighingMasses& v) {
        const bool other = key == "into_weighing";
        (other ? row_.other_before : row_.before) = v.before;
        (other ? row_.other_after : row_.after) = v.after;
        if (v.net) row_.net = v.net;
    }

    void operator()(const char* key, const std::string& v) { (*this)(key, std::string_view(v)); }
    void operator()(const char* key, const std::optional<std::string>& v) {
        if (v) (*this)(key, std::string_view(*v));
    }
    void operator()(const char* key, const Weight& v) { (*this)(key, v.mass); }
    void operator()(const char* key, const std::optional<Weight>& v) {
        if (v) (*this)(key, v->mass);
    }
    void operator()(const char* key, const Weighing& v) {
        (*this)(key, WeighingMasses{mass_of(v.before), mass_of(v.after), mass_of(v.net)});
    }
    void operator()(const char* key, Condition v) { (*this)(key, text_of(v)); }
    void operator()(const char* key, Reason v) { (*this)(key, text_of(v)); }
    void operator()(const char*, bool) {}
    void operator()(const char*, const std::optional<std::int64_t>&) {}
    void operator()(const char*, EntryKind) {}
    void operator()(const char*, const FieldValues&) {}

    /// What a kind says in a person's own words; stands in the column of remarks where there is no remark.
    std::string_view own_words;

 private:
    // `from` and `into` name a cylinder in some kinds and a firm in others.
    void place(std::string_view key, std::string_view v) {
        if (kind_ == kinds::Receive::name || key == "to" || key == "with" || v.starts_with("outside:"))
            row_.party = v;
        else if (row_.cylinder.empty())
            row_.cylinder = v;
        else
            row_.other_cylinder = v;
    }

    EventRow& row_;
    const std::string_view& kind_;
};

void take_envelope(EventRow& row, const SkimmedEvent& e) {
    row.seq = e.seq;
    row.date = e.date, row.zone = e.zone, row.kind = e.kind, row.by = e.by, row.job = e.job, row.scale = e.scale;
    row.time = {e.time.data(), e.time.size()};
    row.note = e.note, row.own_id = e.own_id, row.anyway = e.anyway;
}

// `clock` keeps the letters of the date and the time.
EventRow row_of(const Event& e, std::string& clock) {
    EventRow row;
    row.seq = e.seq;
    clock = moment_text(e.when);
    row.date = std::string_view(clock).substr(0, 10), row.time = std::string_view(clock).substr(11);
    row.zone = e.when.zone, row.kind = e.kind(), row.by = or_empty(e.by), row.job = or_empty(e.job);
    row.scale = or_empty(e.scale), row.note = or_empty(e.note), row.own_id = or_empty(e.own_id);
    row.anyway = or_empty(e.anyway);
    PartsOf parts(row, row.kind);
    std::visit([&](const auto& k) { std::decay_t<decltype(k)>::fields(k, parts); }, e.what);
    if (row.note.empty()) row.note = parts.own_words;
    if (const auto* entry = std::get_if<kinds::Entry>(&e.what)) {
        const bool place = entry->entry == EntryKind::site || entry->entry == EntryKind::appliance ||
                           entry->entry == EntryKind::circuit;
        (entry->entry == EntryKind::cylinder ? row.cylinder : place ? row.circuit : row.party) = entry->code;
    }
    return row;
}

}  // namespace

EventRow EventRowReader::read(std::string_view body) {
    EventRow row;
    skimmed_ = {};
    PartsOf parts(row, skimmed_.kind);
    whole_.reset();
    if (skimmer_.read(body, skimmed_, parts)) {
        take_envelope(row, skimmed_);
        if (row.note.empty()) row.note = parts.own_words;
        return row;
    }
    auto event = event_from_body(body);
    if (!event) return {};
    whole_ = std::move(*event);
    return row_of(*whole_, clock_);
}

}  // namespace tarebook::report
