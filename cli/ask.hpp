// Asks at a terminal for what was not typed: a question with the likeliest answers, asked again after a mistake. The
// answers are kept beside the book until the event is recorded.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "tarebook/book/book.hpp"
#include "tarebook/exchange/begun_entry.hpp"
#include "tarebook/units/error.hpp"

namespace tarebook::cli {

struct Offer {
    std::string value;
    std::string words;  ///< shown beside the value
};

struct Question {
    std::string flag;  ///< the flag that gives the same value
    std::string text;
    std::vector<Offer> offers = {};                              ///< an empty answer takes the first one
    std::function<Result<void>(const std::string&)> check = {};  ///< an answer with an error is asked for again
    /// What was meant by what was typed: "4" by "OAK/RACK-B/4". Without it, what was typed.
    std::function<std::string(const std::string&)> meant = {};
    /// Why an answer is unlikely; it is taken when it is typed a second time.
    std::function<std::string(const std::string&)> doubt = {};
    /// What the answer is, said before the next question: "12.30 lb of R-448A". Without it nothing is said.
    std::function<std::string(const std::string&)> words = {};
    /// Reads the answer from a device, for an empty answer and for the word "scale"; `device` is its name. Without it
    /// each answer is typed.
    std::function<Result<std::string>()> read = {};
    std::string device = {};
    bool may_be_empty = false;  ///< then "-" is no answer, and so is Enter where nothing is offered
};

/// The circuits of the latest events of the book, each once, the latest first.
std::vector<Offer> latest_circuits(const Book& book);
/// Those of the latest events at a site, then all others of it, in the order of their codes.
std::vector<Offer> circuits_at(const Book& book, std::string_view site);
/// Persons, and jobs, of the latest events, each once, the latest first.
std::vector<Offer> latest_persons(const Book& book);
std::vector<Offer> latest_jobs(const Book& book);
/// The jobs of that day at the site of the circuit: what was done for another customer is none of them.
std::vector<Offer> jobs_of_today(const Book& book, std::string_view circuit, Date today);

/// The answers to the questions of one command line, kept as they come. Only the same line goes on with them (a reason
/// for --anyway may be added): answers about another circuit or cylinder must not be used.
class Conversation {
 public:
    /// The zone on whose clock times are shown: that of the book.
    void show_times_in(std::string zone) { zone_ = std::move(zone); }
    /// `words`: the command line as it was typed.
    void begin(std::filesystem::path book, const std::string& command, const std::vector<std::string>& words,
               Instant now);
    /// The answer; empty if the person ended the question (Ctrl-D).
    std::optional<std::string> answer(const Question& question);
    /// The device from which the answer to a flag was read; nothing where it was typed.
    [[nodiscard]] std::optional<std::string> device_of(const std::string& flag) const;
    /// Precondition: the event is recorded. Removes the kept answers.
    void done();
    [[nodiscard]] bool holds_answers() const { return !entry_.words.empty(); }

 private:
    void offer_what_was_kept();
    std::filesystem::path book_;
    std::string name_, line_, zone_;
    BegunEntry entry_;
    bool looked_ = false;
};

}  // namespace tarebook::cli
