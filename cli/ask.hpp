// Asking at a terminal for what was not typed: a question with what is most likely meant, again after a slip, and kept
// beside the book until it is recorded.
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
    std::string words;  ///< what it is, beside it
};

struct Question {
    std::string flag;  ///< what could have been typed instead
    std::string text;
    std::vector<Offer> offers = {};                              ///< the first one is taken by an empty answer
    std::function<Result<void>(const std::string&)> check = {};  ///< an answer with an error is asked for again
};

/// The circuits, and the cylinders, of the latest events of the book, each once, the latest first.
std::vector<Offer> latest_circuits(const Book& book);
std::vector<Offer> latest_cylinders(const Book& book);

/// The answers of one command line, kept as they come. Only the same line goes on with them (a reason for --anyway may
/// be new): answers of another circuit or cylinder must not slip into this one.
class Conversation {
 public:
    /// `words`: the command line as it was typed.
    void begin(std::filesystem::path book, const std::string& command, const std::vector<std::string>& words,
               Instant now);
    /// The answer; nothing where the person ended it (Ctrl-D).
    std::optional<std::string> answer(const Question& question);
    /// What was asked is recorded: nothing is kept any more.
    void done();
    [[nodiscard]] bool holds_answers() const { return !entry_.words.empty(); }

 private:
    void offer_what_was_kept();
    std::filesystem::path book_;
    std::string name_, line_;
    BegunEntry entry_;
    bool looked_ = false;
};

}  // namespace tarebook::cli
