#include "movements_drafts.hpp"

#include <fmt/format.h>

#include "movements_cells.hpp"
#include "units/hex.hpp"

namespace tarebook {
namespace {

// The names of accounts: the file does not tell who sold or took the gas.
constexpr std::string_view unnamed_supplier = "Supplier";
constexpr std::string_view unnamed_reclaimer = "Reclaimer";

void set(std::optional<std::string>& field, std::string_view text) {
    if (text.empty())
        field.reset();
    else if (field)
        field->assign(text);
    else
        field.emplace(text);
}

void set(std::optional<Weight>& weight, std::int32_t thousandths) {
    if (!weight) weight.emplace();
    weight->mass = Mass::thousandths_of_a_pound(thousandths);
    write_pounds(thousandths, weight->typed);
}

void set(Weighing& weighing, const MovementRow& row) {
    set(weighing.before, row.before_mlb);
    set(weighing.after, row.after_mlb);
    weighing.net.reset();
}

// Mostly the draft before is of the same kind: its strings keep their memory.
template <class Kind>
Kind& as(What& what) {
    if (auto* same = std::get_if<Kind>(&what)) return *same;
    return what.emplace<Kind>();
}

// The own id begins with the instant, so that a file in order of time has its ids in order too: an index over them
// grows at its end. 48 bits of the digest tell rows of one second apart. Two rows with equal bits would be refused as
// the same id with other content, not lost.
void write_own_id(const MovementRow& row, std::string& out) {
    out.assign("row:0123456789-0123456789ab");
    auto to = out.begin() + 4;
    // Has the local clock as typed: if the zone of a site is corrected later, the rows keep their ids and are reported
    // with another instant, and not recorded a second time.
    const auto local = row.at + std::chrono::minutes(row.offset_min);
    const auto seconds = static_cast<std::uint64_t>(local.time_since_epoch().count());
    for (unsigned shift = 40; shift > 0; shift -= 4) *to++ = hex_digits[(seconds >> (shift - 4)) & 15U];
    ++to;
    write_hex({reinterpret_cast<const char*>(row.digest.data()), 6}, to);
    if (row.repeat > 1) fmt::format_to(std::back_inserter(out), "/{}", row.repeat);
}

}  // namespace

Instant MovementDrafts::at(std::size_t i) const {
    return i < entries_.size() ? entries_[i].when.at : rows_[i - entries_.size()].at;
}

void MovementDrafts::make(std::size_t i, Event& out) const {
    if (i < entries_.size()) {
        out = entries_[i];
        return;
    }
    const auto& row = rows_[i - entries_.size()];
    const auto place = rows_.places[row.place];
    const auto cylinder = rows_.cylinders[row.cylinder];
    out.book = {};
    out.seq = 0;
    out.previous = {};
    out.when.at = row.at;
    out.when.offset = std::chrono::minutes(row.offset_min);
    out.when.zone = rows_.zones[row.zone];
    out.recorded = recorded_;
    set(out.by, rows_.technicians[row.technician]);
    set(out.job, rows_.jobs[row.job]);
    out.scale.reset();
    set(out.note, rows_.notes[row.note]);
    if (!out.own_id) out.own_id.emplace();
    write_own_id(row, *out.own_id);
    out.anyway.reset();
    out.accepted.clear();
    bool place_is_told = false;
    switch (row.kind) {
        case RowKind::purchase: {
            auto& k = as<kinds::Receive>(out.what);
            k.cylinder = cylinder;
            k.from = unnamed_supplier;
            set(k.refrigerant, row.gas == 0 ? std::string_view() : rows_.gases[row.gas]->designation);
            k.lot.reset();
            k.invoice.reset();
            k.condition = Condition::virgin;
            k.gross.reset();
            set(k.weighing, row);
            k.stamped = false;
            k.price.reset();
            if (const auto paid = rows_.prices.find(row.line); paid != rows_.prices.end()) k.price = paid->second;
            break;
        }
        case RowKind::charge: {
            auto& k = as<kinds::Charge>(out.what);
            k.circuit = place;
            k.from = cylinder;
            set(k.weighing, row);
            k.reason = Reason::leak;
            k.invoice.reset();
            k.emptied = false;
            place_is_told = true;
            break;
        }
        case RowKind::recover: {
            auto& k = as<kinds::Recover>(out.what);
            k.circuit = place;
            k.into = cylinder;
            set(k.weighing, row);
            k.reason = Reason::open;
            for (auto* field : {&k.vacuum, &k.rise, &k.drier, &k.machine, &k.gas, &k.vacuum_exception, &k.compressor})
                field->reset();
            k.held_min.reset();
            place_is_told = true;
            break;
        }
        case RowKind::give_back: {
            auto& k = as<kinds::Return>(out.what);
            k.cylinder = cylinder;
            k.to = unnamed_reclaimer;
            k.gross.reset();
            set(k.weighing, row);
            k.manifest.reset();
            break;
        }
        case RowKind::loss: {
            auto& k = as<kinds::Release>(out.what);
            k.circuit.reset();
            set(k.cylinder, cylinder);
            k.mass.reset();
            set(k.weighing, row);
            k.method = "weighed";
            k.why = "entered as a loss in the records that were imported";
            break;
        }
    }
    if (!place_is_told && !place.empty()) {  // these kinds have no place: it goes into the note
        if (!out.note)
            out.note.emplace("at ");
        else
            *out.note += "; at ";
        *out.note += place;
    }
}

}  // namespace tarebook
