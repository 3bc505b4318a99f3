// Typed moments, days and months. What is accepted is printed as words that mean the same instant, and can be written
// into an event and read back.
#include "promise.hpp"
#include "tarebook/event/moment.hpp"

using namespace tarebook;
using fuzz::promise;

namespace {

void moment(std::string_view text, std::string_view zone) {
    const auto now = *instant_from_text("2026-06-01T15:00:00Z");
    const auto when = parse_moment(text, zone, now);
    if (!when) return fuzz::helpful(when.error());
    promise(instant_from_text(instant_text(when->at)) == when->at, "an accepted instant is readable in an event");

    const auto iso = parse_moment(moment_iso(*when), zone, now);
    promise(iso && *iso == *when, "a moment with its offset means the same moment");

    // A page shows minutes of the local clock. A typed offset without a zone is not on that clock.
    if (zone == "UTC" && when->offset.count() != 0) return;
    const auto shown = parse_moment(moment_text(*when), zone, now);
    if (!shown) return promise(shown.error().name == "time-ambiguous", "a shown moment is refused only as ambiguous");
    promise(shown->at == std::chrono::floor<std::chrono::minutes>(when->at), "a shown moment means the same minute");
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const auto text = fuzz::text_of(data, size);
    // A whole-hour zone, a half-hour one, one whose clock changes by half an hour.
    for (const auto* zone : {"UTC", "America/Chicago", "Asia/Kolkata", "Australia/Lord_Howe"}) moment(text, zone);

    if (const auto day = parse_date(text); day)
        promise(date_text(*day) == text, "an accepted day is printed as it was typed");
    else
        fuzz::helpful(day.error());
    if (const auto month = parse_month(text); month)
        promise(month->ok() && date_text(Date(*month / 1)) == std::string(text) + "-01",
                "an accepted month is printed as it was typed");
    else
        fuzz::helpful(month.error());
    return 0;
}
