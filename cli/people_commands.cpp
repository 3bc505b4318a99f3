// People whose names the book has beside its events: `people list`, `people remove`.
#include <fmt/format.h>

#include <algorithm>
#include <fstream>
#include <iostream>
#include <memory>
#include <set>

#include "exit_code.hpp"
#include "session.hpp"
#include "tarebook/report/people_page.hpp"
#include "tarebook/units/word_list.hpp"

namespace tarebook::cli {
namespace {

namespace fs = std::filesystem;

struct PeopleOptions {
    Text who, asked;
};

bool is_meant(const KnownPerson& person, const std::string& who) {
    return !person.name.empty() &&
           (who == person.name || who == person.code || who == short_person(person.code).substr(7) ||
            std::find(person.technicians.begin(), person.technicians.end(), who) != person.technicians.end());
}

bool file_has(const fs::path& file, const std::string& words) {
    std::ifstream in(file, std::ios::binary);
    std::string bytes;
    for (std::string piece(1U << 20U, '\0'); in;) {
        in.read(piece.data(), static_cast<std::streamsize>(piece.size()));
        bytes.append(piece, 0, static_cast<std::size_t>(in.gcount()));
        if (bytes.find(words) != std::string::npos) return true;
        if (bytes.size() > words.size()) bytes.erase(0, bytes.size() - words.size());
    }
    return false;
}

// Files beside the book, what was begun in it, and the folder of its backups.
std::vector<std::string> files_with(const Session& s, const fs::path& book, const std::string& words) {
    std::vector<std::string> out;
    const auto look = [&](const fs::path& folder) {
        std::error_code failed;
        for (fs::directory_iterator at(folder, failed), end; !failed && at != end; at.increment(failed))
            if (at->is_regular_file(failed) && file_has(at->path(), words)) out.push_back(at->path().string());
    };
    look(book.has_parent_path() ? book.parent_path() : fs::path("."));
    look(book.string() + ".drafts");
    if (s.config.backups) look(*s.config.backups);
    std::sort(out.begin(), out.end());
    out.erase(std::unique(out.begin(), out.end()), out.end());
    return out;
}

bool laid_out_anew(Book& book) {
    try {
        return book.lay_out_anew();
    } catch (const StorageError&) {  // another program has the book: the name itself is removed
        return false;
    }
}

void tell_what_stays(const Session& s, const Book& book, const std::set<std::string>& names,
                     const std::set<std::string>& codes, bool laid_out, std::ostream& out) {
    if (!laid_out)
        out << "its bytes may still be in the file: another program has the book open. When none has: tarebook people "
               "remove --tidy\n";
    out << "What stays:\n";
    for (const auto& name : names) {
        const auto events = book.events_that_say(name);
        constexpr std::size_t most = 10;
        const std::vector<std::string> first(
            events.begin(), events.begin() + static_cast<std::ptrdiff_t>(std::min(most, events.size())));
        if (!events.empty())
            out << fmt::format("  {} event{} with the name in the words as typed, which never change: {}{}\n",
                               events.size(), events.size() == 1 ? "" : "s", joined(first, ", "),
                               events.size() > most ? " ..." : "");
        for (const auto& file : files_with(s, book.path(), name)) out << "  a file with the name: " << file << '\n';
        if (s.typing().name == name)
            out << "  this machine's setting that this person types: the next command records the name anew\n";
    }
    for (const auto& code : codes)
        out << fmt::format("  the code {} of the technician, in each event that has it\n", code);
    out << "  the name in files that were sent or made before, in backups and copies elsewhere: not looked for\n"
           "next: send what is new to the other books of the shop, which remove the name when they merge it\n"
           "next: make pages and the analysts' file anew; remove old backups once newer ones are checked\n";
}

int remove(const Session& s, const PeopleOptions& o) {
    auto book = s.open(Access::write);
    const auto who = s.need(o.who, "who", "whose name: the name, or the code of a technician");
    std::set<std::string> names, technicians;
    std::string codes;
    for (const auto& person : book.people()) {
        if (!is_meant(person, who)) continue;
        names.insert(person.name);
        technicians.insert(person.technicians.begin(), person.technicians.end());
        add_word(codes, person.code, " ");
    }
    if (codes.empty()) {
        const auto events = book.events_that_say(who);
        throw Stop{{ErrorKind::refused, "person-unknown",
                    events.empty()
                        ? "the book has no such name beside its events"
                        : fmt::format("the book has that name in {} event{} alone, in words as typed, from {} "
                                      "on: an event never changes",
                                      events.size(), events.size() == 1 ? "" : "s", events.front()),
                    who, "a name, or the code of a technician whose name is here", "tarebook people list"}};
    }
    const auto asked = s.reason(o.asked, "--asked", "who asked, and how, without the name: by the person, in a letter");
    const int code = s.record_and_tell(book, {s.draft(book, kinds::RemoveName{asked, codes})});
    const bool laid_out = laid_out_anew(book);
    tell_what_stays(s, book, names, technicians, laid_out, s.format && s.format != "text" ? std::cerr : std::cout);
    return code;
}

int tidy(const Session& s) {
    auto book = s.open(Access::write);
    const bool done = book.lay_out_anew();
    std::cout << (done ? "the file was written anew: no bytes of removed names are in it\n"
                       : "another program has the book open: what was removed may still be in its log\n");
    return done ? exit_done : exit_exceptions;
}

}  // namespace

void setup_people_commands(CLI::App& root, Session& s) {
    auto* group =
        root.add_subcommand("people", "the names of people, which stand beside the events, and can be removed")
            ->fallthrough()
            ->require_subcommand(1);
    auto* c = group->add_subcommand("list", "of whom the book has a name or a code")->fallthrough();
    c->callback([&s] {
        s.run = [&s] {
            const auto book = s.open(Access::read);
            return s.tell(people_page(book, s.page_options(&book)));
        };
    });
    auto o = std::make_shared<PeopleOptions>();
    c = group
            ->add_subcommand(
                "remove",
                "remove a person's name from the book, because the person asks for it: events keep a code\n"
                "  in its place. It says what stays, as an event never changes, and what was sent is out of\n"
                "  reach")
            ->fallthrough();
    c->add_option("who", o->who, "the name, or the code of a technician");
    c->add_option("--asked", o->asked, "who asked, and how, without the name");
    auto tidies = std::make_shared<bool>(false);
    c->add_flag("--tidy", *tidies, "only write the file anew, where a program had the book open before");
    add_recording_options(*c, s, "--by", Work::at_the_desk);
    c->callback([&s, o, tidies] { s.run = [&s, o, tidies] { return *tidies ? tidy(s) : remove(s, *o); }; });
}

}  // namespace tarebook::cli
