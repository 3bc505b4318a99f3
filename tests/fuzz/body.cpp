// Bodies of events, as they stand in a file that somebody else may have touched. Whatever the bytes: an error or an
// event; and an event's own canonical bytes are read back as the same event (I3, I4). Views of them say the same.
#include "promise.hpp"
#include "tarebook/event/body_view.hpp"

using namespace tarebook;
using fuzz::promise;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const auto bytes = fuzz::text_of(data, size);
    const auto event = event_from_body(bytes);
    BodyReader reader;
    BodyView view;
    BodyParts parts;
    promise(reader.read(bytes, view, parts) == event.has_value(), "bytes have views where they are an event");
    promise(event_from_line(bytes).has_value() == event.has_value(), "one event has one form");
    if (!event) {
        fuzz::helpful(event.error());
        return 0;
    }
    const auto body = canonical_body(*event);
    const auto again = event_from_body(body);
    promise(again.has_value(), "the canonical bytes of an event are readable");
    promise(canonical_body(*again) == body, "the canonical bytes of an event are canonical");
    promise(again->order() == event->order() && again->previous == event->previous && again->when == event->when,
            "an event keeps its place");
    if (!std::holds_alternative<kinds::Unknown>(event->what))
        promise(words_of(*again) == words_of(*event), "an event keeps its words");

    promise(canonical_body(*event) == bytes, "an event is read from its canonical bytes alone");
    promise(view.seq == event->seq && view.kind == event->kind() && view.book == hex(event->book) &&
                view.by == event->by.value_or("") && view.note == event->note.value_or("") &&
                view.zone == event->when.zone && view.at == event->when.at,
            "views say what the event says");

    // What the book asks of every event that it reads.
    promise(cylinders_of(*again) == cylinders_of(*event), "an event touches the same cylinders");
    const auto change = register_change(*event);
    const auto change_again = register_change(*again);
    promise(change.has_value() == change_again.has_value() && (!change || change->values == change_again->values),
            "an event sets the same fields");
    return 0;
}
