#include "event_row.hpp"

namespace tarebook::report {
namespace {

// The parts of a kind into their columns.
class PartsOf : public BodyParts {
 public:
    PartsOf(EventRow& row, const BodyView& event) : row_(row), event_(event) {}

    void words(std::string_view key, std::string_view v) override {
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
        else if (key == "code")
            code_ = v;
        else if (key == "entry")  // of the register
            (v == "cylinder"                                     ? row_.cylinder
             : v == "site" || v == "appliance" || v == "circuit" ? row_.circuit
                                                                 : row_.party) = code_;
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
    std::string_view code_;
};

}  // namespace

EventRow EventRowReader::read(std::string_view body) {
    EventRow row;
    PartsOf parts(row, event_);
    if (!reader_.read(body, event_, parts)) return {};
    row.seq = event_.seq, row.date = event_.date, row.time = {event_.time.data(), event_.time.size()};
    row.zone = event_.zone, row.kind = event_.kind, row.by = event_.by, row.job = event_.job;
    row.scale = event_.scale, row.own_id = event_.own_id, row.anyway = event_.anyway;
    row.note = event_.note.empty() ? parts.own_words : event_.note;
    return row;
}

}  // namespace tarebook::report
