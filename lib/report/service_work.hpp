// Service work on equipment that moves no gas: pressure tests, oil, filter-driers, compressors, and what an identifier
// showed. Its lists on the page of a job, and what is said of each right after it was recorded.
#pragma once

#include <string>
#include <vector>

#include "document.hpp"
#include "json.hpp"
#include "tarebook/book/book.hpp"

namespace tarebook::report {

struct ServiceWork {
    std::vector<StoredEvent> pressure_tests, oil_changes, filter_driers, identified, compressors;
    /// Keeps an event of these kinds; false for any other.
    bool take(const StoredEvent& stored);
};

/// A table for each list that has rows.
Document service_document(const ServiceWork& work);
void add_service_json(Json& page, const ServiceWork& work);

/// "pressure-test OAK/RACK-A/4: 300psig, held 60 min, 298psig at its end: pass".
std::string act_text(const kinds::PressureTest& k);
std::string act_text(const kinds::Oil& k);
std::string act_text(const kinds::FilterDrier& k);
std::string act_text(const kinds::Identify& k);
std::string act_text(const kinds::Compressor& k);

/// What is said right after a recording: what was done, and the cautions of that work, in full and in a few words.
struct ServiceSaid {
    std::string done, cautions;
    std::string_view brief = {};  ///< empty: there is no shorter form
};
ServiceSaid recorded_service(const kinds::PressureTest& k);
ServiceSaid recorded_service(const kinds::Oil& k);
ServiceSaid recorded_service(const kinds::FilterDrier& k);
/// Where the book has gas of unknown identity in the cylinder, also how to give it the name that was shown.
ServiceSaid recorded_service(const Book& book, const StoredEvent& stored, const kinds::Identify& k);
ServiceSaid recorded_service(const kinds::Compressor& k);

/// The same in words for the owner of the equipment; empty for what is the shop's own matter.
std::string told_to_owner(const kinds::PressureTest& k);
std::string told_to_owner(const kinds::Oil& k);
std::string told_to_owner(const kinds::FilterDrier& k);
std::string told_to_owner(const kinds::Identify& k);
std::string told_to_owner(const kinds::Compressor& k);
/// What was fitted or put in, one line a part, for the owner.
std::vector<std::string> service_parts(const ServiceWork& work);

/// Of a recovery through a machine whose filter-drier is on record: whether burnt-out or acid gas went through it since
/// the filter-drier was changed. Empty where none did.
std::string burnt_out_since_drier(const Book& book, const StoredEvent& stored);

}  // namespace tarebook::report
