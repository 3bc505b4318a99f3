#include "hold.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>

namespace tarebook {
namespace {

// Kinds that are judged by their cylinders, the register and their own chain alone, and that change nothing else.
constexpr std::array<std::string_view, 26> of_their_cylinders = {
    kinds::Opening::name,  kinds::Receive::name,     kinds::Recover::name,  kinds::Charge::name,
    kinds::Reuse::name,    kinds::Transfer::name,    kinds::Return::name,   kinds::Destroy::name,
    kinds::Exchange::name, kinds::Release::name,     kinds::Pumpdown::name, kinds::Weigh::name,
    kinds::Evacuate::name, kinds::Isolate::name,     kinds::Fit::name,      kinds::PressureTest::name,
    kinds::Oil::name,      kinds::FilterDrier::name, kinds::Identify::name, kinds::Compressor::name,
    kinds::Note::name,     kinds::Move::name,        kinds::Recycle::name,  kinds::AirCheck::name,
    kinds::Lost::name,     kinds::Found::name};

bool reaches_its_cylinders_alone(const Event& event) {
    return !register_change(event) &&
           std::find(of_their_cylinders.begin(), of_their_cylinders.end(), event.kind()) != of_their_cylinders.end();
}

std::string cylinder_name(std::string_view code) {
    return fmt::format("cylinder/{}", code);
}

// Returns whether the hold has to be of the whole book.
bool add(Book::Impl& book, const Event& draft, Hold& out) {
    if (draft.own_id) out.names.insert("own-id/" + *draft.own_id);
    auto cylinders = cylinders_of(draft);
    if (const auto* v = std::get_if<kinds::Void>(&draft.what)) {
        const auto digest = digest_from_hex(v->target);
        const auto row = digest ? book.row_with_digest(*digest) : 0;
        if (row == 0) return true;
        const auto target = book.load(row).event;
        if (!reaches_its_cylinders_alone(target)) return true;
        out.names.insert("event/" + v->target);
        cylinders = cylinders_of(target);
    } else if (!reaches_its_cylinders_alone(draft)) {
        return true;
    }
    for (const auto& code : cylinders) out.names.insert(cylinder_name(code));
    return false;
}

}  // namespace

Hold hold_for(Book::Impl& book, const std::vector<Event>& drafts) {
    if (!book.db.on_server()) return {};
    const auto chain = book.writer().origin;
    Hold out{false, {fmt::format("chain/{}", chain)}};
    // The first event of a desk adds its chain to the list of books.
    out.whole = !book.origins.contains(chain);
    for (const auto& draft : drafts) out.whole = out.whole || add(book, draft, out);
    if (out.whole) out.names.clear();
    return out;
}

// An event is held by its cylinders, as who judges it writes their steps; one without cylinders by itself. What a
// statement says hangs on its return, whose cylinders it does not name.
Hold hold_to_judge(Book::Impl& book, const std::vector<StoredEvent>& events) {
    Hold out{false, {fmt::format("chain/{}", book.writer().origin)}};
    for (const auto& stored : events) {
        if (std::holds_alternative<kinds::Settle>(stored.event.what)) return {};
        const auto cylinders = cylinders_of(stored.event);
        if (cylinders.empty()) out.names.insert("event/" + hex(stored.digest));
        for (const auto& code : cylinders) out.names.insert(cylinder_name(code));
    }
    return out;
}

bool holds_cylinder(const Book::Impl& book, std::string_view code) {
    return book.hold.whole || book.hold.names.contains(cylinder_name(code));
}

void must_hold_cylinder(const Book::Impl& book, std::string_view code) {
    if (!holds_cylinder(book, code)) throw BeyondHold(cylinder_name(code));
}

std::int64_t first_event_id(Book::Impl& book, std::int64_t seq) {
    if (book.info.desk) return book.info.desk->number * event_ids_of_a_desk + seq;
    return free_event_id(book.db);
}

}  // namespace tarebook
