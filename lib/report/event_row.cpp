#include "event_row.hpp"

namespace tarebook::report {
namespace {

// The parts of a kind into their columns.
class PartsOf : public BodyParts {
 public:
    /// `service`: of a kind of service work all that no column has, "pressure 300psig, result pass".
    PartsOf(EventRow& row, const BodyView& event, std::string& service) : row_(row), event_(event), service_(service) {}

    void words(std::string_view key, std::string_view v) override {
        if (is_service() && key != "circuit" && key != "cylinder" && key != "refrigerant")
            add(key, v);
        else if (key == "circuit" || key == "appliance")
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
        else if (key == "code")
            code_ = v;
        else if (key == "entry")  // of the register
            (v == "cylinder"                                     ? row_.cylinder
             : v == "site" || v == "appliance" || v == "circuit" ? row_.circuit
                                                                 : row_.party) = code_;
    }
    void number(std::string_view key, std::int64_t v) override {
        if (is_service()) add(key, std::to_string(v));
    }
    void mass(std::string_view key, Mass v) override {
        if (key == "gross")
            row_.gross = v;
        else if (key == "mass" || key == "net" || key == "refrigerant")
            row_.net = v;
    }
    void weighing(std::string_view key, const WeighingMasses& v) override {
        const bool other = key == "into_weighing";
        (other ? row_.other_before : row_.before) = v.before;
        (other ? row_.other_after : row_.after) = v.after;
        if (v.net) row_.net = v.net;
    }

    /// What a kind says in a person's own words; stands in the column of remarks where there is no remark.
    std::string_view own_words;

 private:
    [[nodiscard]] bool is_service() const {
        const auto kind = event_.kind;
        return kind == kinds::PressureTest::name || kind == kinds::Oil::name || kind == kinds::FilterDrier::name ||
               kind == kinds::Identify::name || kind == kinds::Compressor::name;
    }
    void add(std::string_view key, std::string_view v) {
        if (!service_.empty()) service_ += ", ";
        for (const char c : key) service_ += c == '_' ? ' ' : c;
        service_.append(" ").append(v);
    }
    // `from` and `into` name a cylinder in some kinds and a firm in others.
    void place(std::string_view key, std::string_view v) {
        if (event_.kind == kinds::Receive::name || key == "to" || key == "with" || v.starts_with("outside:"))
            row_.party = v;
        else if (row_.cylinder.empty())
            row_.cylinder = v;
        else
            row_.other_cylinder = v;
    }

    EventRow& row_;
    const BodyView& event_;
    std::string& service_;
    std::string_view code_;
};

}  // namespace

EventRow EventRowReader::read(std::string_view body) {
    EventRow row;
    service_.clear();
    PartsOf parts(row, event_, service_);
    if (!reader_.read(body, event_, parts)) return {};
    row.seq = event_.seq, row.recorded = event_.recorded, row.date = event_.date,
    row.time = {event_.time.data(), event_.time.size()};
    row.zone = event_.zone, row.kind = event_.kind, row.by = event_.by, row.job = event_.job;
    row.scale = event_.scale, row.own_id = event_.own_id, row.anyway = event_.anyway;
    row.note = event_.note.empty() ? parts.own_words : event_.note;
    if (!service_.empty()) {
        if (!event_.note.empty()) service_.append("; ").append(event_.note);
        row.note = service_;
    }
    return row;
}

}  // namespace tarebook::report
