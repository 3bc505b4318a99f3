// Which cylinders a person may mean who is asked for one: those that fit what shall be done, the likeliest first. What
// is offered is what the book has nothing against; it does not say that a cylinder is fit.
//
//     const CylinderQuestion question{CylinderTask::fill, "OAK/RACK-B/4"};
//     for (const auto& offer : offered_cylinders(book, question, options)) ... offer.code, offer.words
//     const auto why = why_not_offered(book, "RC-031", question, options);
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "tarebook/report/report.hpp"

namespace tarebook {

/// What a cylinder shall be used for.
enum class CylinderTask {
    fill,    ///< gas shall go into it: a recovery, a transfer's second cylinder
    charge,  ///< virgin or reclaimed gas shall go out of it into a circuit
    reuse,   ///< recovered gas shall go out of it into a circuit
    draw,    ///< gas shall go out of it into another cylinder
    send,    ///< it goes to a reclaimer or a destruction facility with what is in it
    look,    ///< it is weighed, or looked at: any that is here
};

/// What is known of the task.
struct CylinderQuestion {
    CylinderTask task = CylinderTask::look;
    std::string circuit = {};               ///< where gas comes from or goes; empty where that is no circuit
    std::string cylinder = {};              ///< the other cylinder of a transfer; empty without one
    std::optional<std::string> job = {};    ///< a cylinder that is held for another job is not offered
    std::optional<std::string> place = {};  ///< where the person's cylinders are; else that of the one used last
};

/// One cylinder that fits.
struct OfferedCylinder {
    std::string code;
    std::string words;  ///< "12.30 lb of R-448A, of Quillpost Markets, recovered; truck-1"
};

/// All that fit. First those whose marks are on record, of these the ones at the place of the question, else of the
/// cylinder that was used last, of these the one that was used last.
std::vector<OfferedCylinder> offered_cylinders(const Book& book, const CylinderQuestion& question,
                                               const PageOptions& options);
/// What a cylinder holds, and its place, as in OfferedCylinder; empty for one that the register does not have.
std::string holds_text(const Book& book, std::string_view cylinder, const PageOptions& options);
/// Why a cylinder of the register is not among them: "holds R-404A, and OAK/RACK-B has R-448A". Empty for one that is,
/// and for one that the register does not have.
std::string why_not_offered(const Book& book, std::string_view cylinder, const CylinderQuestion& question,
                            const PageOptions& options);

/// What would meet in the cylinder of a recovery or transfer and must not: "holds gas that is not known, and OAK/RACK-B
/// has R-448A". Empty where the book knows of nothing, and for a cylinder that the register does not have.
std::string gas_that_would_mix(const Book& book, std::string_view cylinder, const CylinderQuestion& question);
/// The last isolation of the circuit before a place in time, where it was not put back in service since; looks at the
/// newest events alone.
std::optional<StoredEvent> isolated_before(const Book& book, std::string_view circuit, const OrderKey& when);

/// For people, before a weight is asked for: "RC-01: STOP AT 69.30 lb, slow down at 68.00 lb; room 25.10 lb", for gas
/// of the circuit or cylinder of the question; or why it must not be filled ("DO NOT FILL", "WRONG GAS"). `scale` as in
/// room_question_for. Empty where the book does not know.
std::string weights_to_watch(const Book& book, std::string_view cylinder, const CylinderQuestion& question,
                             const PageOptions& options, const std::optional<std::string>& scale = {});

}  // namespace tarebook
