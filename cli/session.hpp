// One run of the program: global options, the book, typed words and output. No arithmetic.
#pragma once

#include <CLI/CLI.hpp>
#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "ask.hpp"
#include "config.hpp"
#include "tarebook/checks/checks.hpp"
#include "tarebook/exchange/open_visit.hpp"
#include "tarebook/exchange/sync.hpp"
#include "tarebook/record/record.hpp"
#include "tarebook/report/day_page.hpp"
#include "tarebook/report/offers.hpp"
#include "tarebook/report/practice.hpp"
#include "tarebook/report/pt_page.hpp"
#include "tarebook/report/report.hpp"
#include "tarebook/report/visit_page.hpp"
#include "tarebook/scale/scale_port.hpp"

namespace tarebook::cli {

/// Thrown by a command with an Error that main shows; it does not leave cli.
struct Stop {
    Error error;
};

/// A mistake in what was typed.
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

/// Where a recording command is used: one in the field takes job, person and scale from the open visit.
enum class Work { in_the_field, at_the_desk };

/// What goes to stdout: a page with a heading, or a text for programs that itself names a practice book.
enum class Shown { headed, as_it_is };

/// What a page has besides text, JSON and CSV.
enum class Has { no_more, browser, sheets };

struct Session {
    std::vector<std::string> words;  ///< argv as it came, for "the line to type if it did happen"
    Text book_file, units, format, refrigerants, rules, typist;
    Config config;       ///< what stands where nothing was typed
    ReferenceData data;  ///< with what take_reference_data() read
    mutable std::optional<ReferenceData> with_packs;
    Text at, by, job, scale, anyway, own_id, note;
    bool has_terminal = false;
    std::string command;                  ///< "recover", once it was parsed
    bool before_was_read = false;         ///< of a begun recovery: its weight before came from the scale's port
    mutable Text read_from;               ///< the scale whose port gave a weight in this run
    std::string finishes;                 ///< the cylinder whose begun recovery this command ends; else empty
    mutable Conversation asked;           ///< the questions of this run and their answers
    mutable bool means_to_write = false;  ///< a failure then states that nothing was written, if that is so
    mutable Instant now{};
    std::optional<Instant> clock_set;             ///< the time in TAREBOOK_NOW, if only a practice book may use it
    mutable bool is_headed = false;               ///< the heading PRACTICE was written
    std::function<int()> run;                     ///< set by the parsed command
    std::vector<const CLI::App*> field_commands;  ///< those that take from the open visit
    bool visit_named = false;                     ///< --visit
    std::optional<OpenVisit> visit;               ///< from which this command takes what was not typed
    std::vector<std::string> taken;               ///< what it took: "job 2207", "by ana"
    mutable bool visit_said = false;
    mutable bool scale_used = false;  ///< a weight was read
    bool scale_from_config = false;   ///< it is that of the configuration
    mutable std::string site_agreed;  ///< another site, for which the person said yes

    /// Takes job, person and scale from the open visit, for a command in the field, where these were not typed: at a
    /// terminal, else with --visit alone. Throws Stop if the visit may be over and the person does not say that it goes
    /// on.
    void take_visit();
    /// Gives back what take_visit() took.
    void leave_visit();
    /// Throws Stop if the place is at another site than that of the visit, unless the person says yes.
    void check_site(const std::string& code) const;
    /// The line that names what was taken, before the page of a recording.
    void say_visit() const;
    /// Takes what the configuration says of units, and of person and scale for a command that has such options, where
    /// neither a flag nor the visit says it.
    void take_config(const CLI::App& used);
    /// Reads --refrigerants, else TAREBOOK_REFRIGERANTS, else what the configuration names, and --rules.
    void take_reference_data();
    /// For a command that looks and records nothing: with the rule pack of the configuration, read when it is first
    /// asked for, unless --rules names one.
    [[nodiscard]] const ReferenceData& looking_data() const;
    /// The typed one. Throws Stop with the nearest ones if there is none.
    [[nodiscard]] const Refrigerant* refrigerant(std::string_view typed) const {
        return must(data.catalogue.parse(typed));
    }
    /// Refuses --rules for recording and checking, which use the packs that every program has.
    void refuse_own_rules() const;
    /// The book that was typed, else that of TAREBOOK, else that of the configuration.
    [[nodiscard]] Text book_named() const;
    /// That, or shop.tarebook in the data folder. Throws Stop for an address in place of a file.
    [[nodiscard]] std::string book_path() const;
    /// The folder of `sync` where none is typed: TAREBOOK_SYNC, else the one that was typed for this book before, else
    /// that of the configuration, which practice books do not take.
    [[nodiscard]] std::optional<SyncFolder> sync_folder(const Book& book) const;
    /// As sync_folder(). Throws Stop where there is none.
    [[nodiscard]] SyncFolder need_sync_folder(const Book& book) const;
    [[nodiscard]] Book open(Access access, Shown shown = Shown::headed) const;
    /// Says on the page how far events of the book are judged anew.
    void say_judged_anew(const Book& book) const;
    /// Judges what waits to be judged anew: all of it where a recording of this Book made it wait, else as much as a
    /// second allows.
    void judge_on(Book& book) const;
    /// Judges all that waits, before what needs all events judged.
    void judge_first(Book& book) const;
    /// The same before a word of trust, which may take an event out that cannot be judged.
    void judge_first_if_it_can(Book& book) const;
    /// Takes the time of TAREBOOK_NOW. Throws Stop, before anything is written, if this book may not use it.
    void take_clock(Purpose purpose) const;
    void take_clock_for(const std::filesystem::path& book) const;
    /// Writes the heading PRACTICE for a practice book, above all that follows on stdout.
    void write_heading(Purpose purpose) const;
    /// What to do with a book of an older schema whose upgrade takes a while: asks at a terminal.
    [[nodiscard]] WhenOlder when_older() const;
    /// Gives the book the passphrase of a locked signing key: TAREBOOK_PASSPHRASE, else asked for at a terminal without
    /// showing it.
    void give_passphrase(Book& book) const;
    /// Who types: --typist, else TAREBOOK_TYPIST, else what the configuration says; on the device that it says, else on
    /// this host.
    [[nodiscard]] Typing typing() const;
    /// Opens the book to record, for a command whose page may be HTML.
    [[nodiscard]] Book open_for_page() const;
    [[nodiscard]] PageOptions page_options(const Book* book) const;
    /// Options of a page that may be HTML; other pages refuse --format html.
    /// For a page that needs no book: in the units of the book that is there, else in pounds.
    [[nodiscard]] PageOptions page_options_without_book() const;
    [[nodiscard]] PageOptions report_options(const Book& book) const;
    /// The options of a page in a format; null: text. Throws Stop where the page does not have it.
    [[nodiscard]] PageOptions options_in(const Text& format_asked, const Book* book, Has has) const;
    /// As options_in(), of a page that needs no book: in the units of the book that is there, else in pounds.
    [[nodiscard]] PageOptions options_without_book_in(const Text& format_asked, Has has) const;
    void refuse_format(const Text& format_asked, Has has) const;

    /// An event with the moment, technician, job ... of the recording options. `site`: --at is read on its clock.
    [[nodiscard]] Event draft(const Book& book, What what, const std::string& site = {}) const;
    /// When --at says, on the clock of `site`, else of the book; now without --at.
    [[nodiscard]] Moment moment(const Book& book, const std::string& site = {}) const;
    /// Another event of the same moment and person.
    [[nodiscard]] Event like(const Event& draft, What what) const;
    /// A weight as typed; a bare number has the unit of --scale.
    [[nodiscard]] Weight weight(const Book& book, const std::string& text) const;
    [[nodiscard]] std::optional<Weight> weight(const Book& book, const Text& text) const;
    /// As weight(), of what a scale shows: the word `scale` reads its port, once it stands still.
    [[nodiscard]] Weight shown_weight(const Book& book, const std::string& text,
                                      ScaleShows shows = ScaleShows::gross) const;
    [[nodiscard]] std::optional<Weight> shown_weight(const Book& book, const Text& text,
                                                     ScaleShows shows = ScaleShows::gross) const;
    /// A scale that can be read from here.
    struct PortScale {
        std::string code;
        ScalePort port;
    };
    /// The scale in use that has a port on this device: --scale, else the only one that has one.
    [[nodiscard]] std::optional<PortScale> port_scale(const Book& book) const;
    [[nodiscard]] ScaleReads reads_of_scale(const Book& book, const std::string& code) const;
    /// Reads the port now.
    [[nodiscard]] Result<Weight> read_now(const Book& book, const PortScale& from, ScaleShows shows) const;
    /// The scale of the event: --scale, else the one that was read.
    [[nodiscard]] const Text& scale_of_event() const { return scale ? scale : read_from; }
    /// A pair or a net weight. Asks at a terminal for what is missing, with the expected weight.
    [[nodiscard]] Weighing weighing(const Book& book, const Text& before, const Text& after, const Text& net,
                                    const std::string& cylinder, ScaleShows net_shows = ScaleShows::net_in) const;
    /// The value of a flag; asked for at a terminal, else a Stop that names the flag.
    [[nodiscard]] std::string need(const Text& value, const Question& question) const;
    [[nodiscard]] std::string need(const Text& value, const std::string& flag, const std::string& question) const {
        return need(value, Question{flag, question});
    }
    /// As need(), for words that a person reads later: they may not be blank.
    [[nodiscard]] std::string reason(const Text& value, const char* flag, const std::string& question) const;
    /// A circuit or appliance, or a cylinder, of the book. Offers the latest circuits, and the cylinders that fit the
    /// task; asks again for an unknown code, and for a cylinder that does not fit.
    [[nodiscard]] std::string need_circuit(const Book& book, const Text& value,
                                           const std::string& flag = "--circuit") const;
    /// An appliance; offers those of the visit's site, else the latest.
    [[nodiscard]] std::string need_appliance(const Book& book, const Text& value) const;
    [[nodiscard]] std::string need_equipment(const Book& book, const Text& value, Question q,
                                             std::span<const EntryKind> kinds) const;
    /// A leak: "L-3". Offers those on record, of the visit's site first.
    [[nodiscard]] std::string need_leak(const Book& book, const Text& value) const;
    [[nodiscard]] std::string need_cylinder(const Book& book, const Text& value, const std::string& flag,
                                            const std::string& question, const CylinderQuestion& task) const;
    /// A word that may be the code of a cylinder, or another thing. A cylinder is found with small letters, too: a hand
    /// scanner may have its own.
    [[nodiscard]] std::string need_cylinder_or(const Book& book, const Text& value, const std::string& flag,
                                               const std::string& question) const;
    /// This session, with the person and the job, where other things had to be asked for and these were not typed. Jobs
    /// of today at the site of the circuit are offered.
    [[nodiscard]] Session with_person_and_job(const Book& book, const std::string& circuit) const;
    /// A gross weight; a slip is asked again. An empty answer, and the word `scale`, read the port of the scale in use.
    [[nodiscard]] Weight need_weight(const Book& book, const Text& value, const std::string& flag,
                                     const std::string& question) const;

    /// Records the drafts, prints the page after a recording, and returns the exit code.
    [[nodiscard]] int record_and_tell(Book& book, std::vector<Event> drafts) const;
    /// As above, for drafts that depend on the book's state. `make` is called under the book's lock. Precondition: it
    /// asks nothing.
    [[nodiscard]] int record_and_tell(Book& book, const MakeDrafts& make) const;
    /// Prints the page after a recording. If the disk fails now, states that the event is recorded.
    void tell_recorded(Book& book, const Recorded& recorded) const;
    [[nodiscard]] std::string begun_notes(const Book& book, const Recorded& recorded) const;
    [[nodiscard]] int tell(const Page& page) const;
};

/// Writes to stderr what is unusual about the file of the book.
void tell_remarks(const Book& book);

/// Asks a question at the terminal; true for yes.
bool ask_yes(const std::string& question);
/// Asks the question of a finding.
bool ask_finding(const Finding& finding);

/// Adds the options of every recording command. `technician`: the flag for the person, if the command uses --by for
/// something else.
void add_recording_options(CLI::App& command, Session& session, const char* technician = "--by",
                           Work work = Work::in_the_field);

/// Adds a command that records, with its one word without a flag.
template <class Options>
CLI::App* recording_command(CLI::App& root, Session& s, const std::shared_ptr<Options>& o, const char* name,
                            const char* help, Text Options::*word, const char* word_name, const char* word_help,
                            int (*run)(const Session&, const Options&), Work work = Work::in_the_field) {
    auto* c = root.add_subcommand(name, help)->fallthrough();
    c->add_option(word_name, (*o).*word, word_help);
    add_recording_options(*c, s, "--by", work);
    c->callback([&s, o, run] { s.run = [&s, o, run] { return run(s, *o); }; });
    return c;
}

void setup_register_commands(CLI::App& root, Session& session);
/// Adds `circuit expect` to the group of circuit commands.
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
void setup_open_visit_commands(CLI::App& root, Session& session);
void setup_service_commands(CLI::App& root, Session& session);
void setup_book_commands(CLI::App& root, Session& session);
void setup_keep_commands(CLI::App& root, Session& session);
void setup_people_commands(CLI::App& root, Session& session);
void setup_sync_command(CLI::App& root, Session& session);
/// Syncs and shows what that did; `keep`: the folder is kept for the next time.
int sync_and_tell(const Session& session, Book book, const SyncFolder& where, bool keep);
void setup_pages_command(CLI::App& root, Session& session);
void setup_label_commands(CLI::App& root, Session& session);
void setup_due_commands(CLI::App& root, Session& session);
void setup_leak_commands(CLI::App& root, Session& session);
void setup_reclaim_commands(CLI::App& root, Session& session);
void setup_stocktake_commands(CLI::App& root, Session& session);
/// A file in the person's cache folder, which may be deleted at any time. Empty if there is no such folder.
std::filesystem::path cache_file(const Book& book, const char* ending);
/// What the book itself does not hold of the first screen of the day.
DayQuestion day_question(const Session& session, const Book& book);
/// The first screen of the day, or a new user's first step where there is no book.
int first_screen(const Session& session);
/// Whose visits these are: the login and the device of this process.
Visitor visitor();
/// The recoveries that were begun and are not finished.
std::vector<BegunRecovery> begun_recoveries(const Session& session);
void setup_stock_commands(CLI::App& root, Session& session);
/// The page of a stocktake: the named one, else the open one, else the latest.
int show_stocktake(const Session& session, const Text& count);

/// One typed field of a register entry, checked against its rule.
FieldValue field_value(const Session& session, const FieldRule& rule, const std::string& typed, ScaleReads reads);
/// "a" or "an".
std::string_view article(std::string_view word);
/// SITE, SITE/APPLIANCE or SITE/APPLIANCE/CIRCUIT, as the kind needs it.
std::string checked_code(EntryKind kind, const std::string& code);
/// Sets full_charge (and full_charge_to for a typed range "W..W").
void set_full_charge(const Session& session, FieldValues& values, const std::string& typed, ScaleReads reads);
Reason reason(const Text& typed, Reason standard);
std::string vacuum_text(const std::string& typed);
/// A pressure, and whole minutes, that a person at a terminal is asked for and may leave open. What cannot be read is
/// asked for again.
Text asked_pressure(const Session& session, const char* flag, const std::string& question);
std::optional<std::int64_t> asked_minutes(const Session& session, const char* flag, const std::string& question);
/// The name of the draft file of a recovery into the cylinder that was begun and is not finished.
std::string begun_name(const std::string& cylinder);
/// One of `words`; empty if nothing was typed.
Text word_of(const Text& typed, const char* flag, const std::vector<std::string>& words);
/// "R-404A,R-448A". Refuses an unknown name, and an empty one.
std::vector<const Refrigerant*> refrigerants_in(const Session& session, std::string list);

}  // namespace tarebook::cli
