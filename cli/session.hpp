// One run of the program: the global options, the book, what is typed and what is told. No arithmetic.
#pragma once

#include <CLI/CLI.hpp>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "ask.hpp"
#include "tarebook/checks/checks.hpp"
#include "tarebook/record/record.hpp"
#include "tarebook/report/practice.hpp"
#include "tarebook/report/pt_page.hpp"
#include "tarebook/report/report.hpp"

namespace tarebook::cli {

/// Leaves a command with an Error that main tells; never crosses the library.
struct Stop {
    Error error;
};

/// A slip in what was typed.
Stop slip(std::string name, std::string what, std::string seen, std::string expected, std::string next = {});

template <class T>
T must(Result<T> result) {
    if (!result) throw Stop{std::move(result.error())};
    return std::move(*result);
}

inline void must(Result<void> result) {
    if (!result) throw Stop{std::move(result.error())};
}

using Text = std::optional<std::string>;

/// What goes to stdout: a page, or a word or file for programs that says by itself that it is of a practice book.
enum class Shown { headed, as_it_is };

struct Session {
    std::vector<std::string> words;  ///< argv as it came, for "the line to type if it did happen"
    Text book_file, units, format, refrigerants, rules;
    Text at, by, job, scale, anyway, own_id, note;
    bool has_terminal = false;
    std::string command;                  ///< "recover", once it was parsed
    mutable Conversation asked;           ///< of this run, where anything had to be asked
    mutable bool means_to_write = false;  ///< a failure says that nothing was written, where that is so
    mutable Instant now{};
    std::optional<Instant> clock_set;  ///< what TAREBOOK_NOW says, where it may be set for a practice book alone
    mutable bool is_headed = false;    ///< PRACTICE
    std::function<int()> run;          ///< set by the command that was parsed

    /// Reads --refrigerants, else TAREBOOK_REFRIGERANTS, before the first refrigerant is looked up.
    void know_own_refrigerants() const;
    /// Reads --rules, before the first rule is looked up.
    void know_own_rules() const;
    /// What is recorded or checked is judged by the packs that every program has.
    void refuse_own_rules() const;
    [[nodiscard]] std::string book_path() const;
    [[nodiscard]] Book open(Access access, Shown shown = Shown::headed) const;
    /// Takes the clock that TAREBOOK_NOW sets; refused, before anything is written, where it may not be set.
    void take_clock(Purpose purpose) const;
    void take_clock_for(const std::filesystem::path& book) const;
    /// From now on all that goes to stdout is of such a book: that of a practice book is headed PRACTICE.
    void head(Purpose purpose) const;
    /// A book that an older program wrote, and that takes a while to upgrade: asked at a terminal.
    [[nodiscard]] WhenOlder when_older() const;
    /// Where the signing key is locked: TAREBOOK_PASSPHRASE, else asked at a terminal without showing it.
    void give_passphrase(Book& book) const;
    /// To write, by a command whose answer is a page that a browser can show, too.
    [[nodiscard]] Book open_for_page() const;
    [[nodiscard]] PageOptions page_options(const Book* book) const;
    /// Of a page that a browser can show, too; the others refuse --format html.
    [[nodiscard]] PageOptions report_options(const Book& book) const;
    void refuse_html() const;

    /// The moment, technician, job ... of the recording options, around what happened. `site`: whose clock --at shows.
    [[nodiscard]] Event draft(const Book& book, What what, const std::string& site = {}) const;
    /// Another draft of the same moment and person.
    [[nodiscard]] Event like(const Event& draft, What what) const;
    /// A weight as typed; a bare number takes the unit of --scale.
    [[nodiscard]] Weight weight(const Book& book, const std::string& text) const;
    [[nodiscard]] std::optional<Weight> weight(const Book& book, const Text& text) const;
    /// Pair or net; asks at a terminal for what is missing, showing what the book expects.
    [[nodiscard]] Weighing weighing(const Book& book, const Text& before, const Text& after, const Text& net,
                                    const std::string& cylinder) const;
    /// The value of a flag; asked for at a terminal, else a Stop that names the flag.
    [[nodiscard]] std::string need(const Text& value, const Question& question) const;
    [[nodiscard]] std::string need(const Text& value, const std::string& flag, const std::string& question) const {
        return need(value, Question{flag, question});
    }
    /// The same, of words that somebody reads later: not blank.
    [[nodiscard]] std::string reason(const Text& value, const char* flag, const std::string& question) const;
    /// A circuit or appliance, a cylinder of the book: with the latest ones offered, and asked again where there is
    /// none of that name.
    [[nodiscard]] std::string need_circuit(const Book& book, const Text& value) const;
    [[nodiscard]] std::string need_cylinder(const Book& book, const Text& value, const std::string& flag,
                                            const std::string& question) const;

    /// Records the drafts, prints the screen after it, and gives the exit code.
    [[nodiscard]] int record_and_tell(Book& book, std::vector<Event> drafts) const;
    /// The same of drafts that rest on what the book says; `make` is called under the book's lock, and asks nothing.
    [[nodiscard]] int record_and_tell(Book& book, const MakeDrafts& make) const;
    /// The screen after a recording; where the disk fails now, that it is recorded all the same.
    void tell_recorded(Book& book, const Recorded& recorded) const;
    [[nodiscard]] int tell(const Page& page) const;
};

/// What was strange about the file of the book, on stderr.
void tell_remarks(const Book& book);

/// Asks at the terminal what the finding asks; true: yes.
bool ask_yes(const Finding& finding);

/// The options that every recording command takes.
/// `technician`: the flag of who did it, where the command gives --by another meaning.
void add_recording_options(CLI::App& command, Session& session, const char* technician = "--by");

/// A command that records, with the one word that it takes without a flag.
template <class Options>
CLI::App* recording_command(CLI::App& root, Session& s, const std::shared_ptr<Options>& o, const char* name,
                            const char* help, Text Options::*word, const char* word_name, const char* word_help,
                            int (*run)(const Session&, const Options&)) {
    auto* c = root.add_subcommand(name, help)->fallthrough();
    c->add_option(word_name, (*o).*word, word_help);
    add_recording_options(*c, s);
    c->callback([&s, o, run] { s.run = [&s, o, run] { return run(s, *o); }; });
    return c;
}

void setup_register_commands(CLI::App& root, Session& session);
/// `circuit expect`, inside the group of circuit commands.
void setup_circuit_expect(CLI::App& group, Session& session);
void setup_movement_commands(CLI::App& root, Session& session);
void setup_cylinder_commands(CLI::App& root, Session& session);
void setup_correction_commands(CLI::App& root, Session& session);
void setup_report_commands(CLI::App& root, Session& session);
void setup_job_commands(CLI::App& root, Session& session);
void setup_import_commands(CLI::App& root, Session& session);
void setup_pt_commands(CLI::App& root, Session& session);
void setup_year_commands(CLI::App& root, Session& session);
void setup_shell_commands(CLI::App& root, Session& session);
void setup_visit_commands(CLI::App& root, Session& session);
void setup_book_commands(CLI::App& root, Session& session);
void setup_keep_commands(CLI::App& root, Session& session);
void setup_label_commands(CLI::App& root, Session& session);
void setup_due_commands(CLI::App& root, Session& session);
void setup_leak_commands(CLI::App& root, Session& session);
void setup_reclaim_commands(CLI::App& root, Session& session);
void setup_stocktake_commands(CLI::App& root, Session& session);
/// The page of a count: the named one, else the one that is open, else the latest.
int show_stocktake(const Session& session, const Text& count);

/// One typed field of a register entry, checked against its rule.
FieldValue field_value(const FieldRule& rule, const std::string& typed, ScaleReads reads);
/// "a" or "an".
std::string_view article(std::string_view word);
/// SITE, SITE/APPLIANCE or SITE/APPLIANCE/CIRCUIT, as the kind wants it.
std::string checked_code(EntryKind kind, const std::string& code);
/// Sets full_charge (and full_charge_to where a range "W..W" was typed).
void set_full_charge(FieldValues& values, const std::string& typed, ScaleReads reads);
Reason reason(const Text& typed, Reason standard);
std::string vacuum_text(const std::string& typed);
/// One of `words`, or nothing where nothing was typed.
Text word_of(const Text& typed, const char* flag, const std::vector<std::string>& words);

}  // namespace tarebook::cli
