#include "terminal.hpp"

#include <unistd.h>

#include <iostream>
#include <streambuf>
#include <string>

#include "tarebook/report/practice.hpp"
#include "tarebook/units/shown_text.hpp"

namespace tarebook::cli {
namespace {

// What is written goes through changed(), and then to another stream.
class Through : public std::streambuf {
 public:
    explicit Through(std::streambuf* to) : to_(to) {}

 protected:
    virtual std::string changed(std::string_view piece) = 0;

    int overflow(int c) override {
        if (c == traits_type::eof()) return sync() == 0 ? 0 : c;
        const char letter = traits_type::to_char_type(c);
        return xsputn(&letter, 1) == 1 ? c : traits_type::eof();
    }
    std::streamsize xsputn(const char* bytes, std::streamsize count) override {
        const auto text = changed({bytes, static_cast<std::size_t>(count)});
        const auto size = static_cast<std::streamsize>(text.size());
        return to_->sputn(text.data(), size) == size ? count : 0;
    }
    int sync() override { return to_->pubsync(); }

 private:
    std::streambuf* to_;
};

class ShownLetters : public Through {
 public:
    ShownLetters(std::streambuf* to, Form form) : Through(to), form_(form) {}

 protected:
    std::string changed(std::string_view piece) override {
        if (!begun_.empty()) {
            begun_ += piece;
            piece = begun_;
        }
        const auto rest = unfinished_letter(piece);
        auto text = shown_text(piece.substr(0, piece.size() - rest), form_);
        std::string kept(piece.substr(piece.size() - rest));
        begun_ = std::move(kept);
        return text;
    }

 private:
    Form form_;
    std::string begun_;  // bytes of an unfinished letter
};

class Headed : public Through {
 public:
    Headed(std::streambuf* to, Format format) : Through(to), heading_(format) {}

 protected:
    std::string changed(std::string_view piece) override { return heading_(piece); }

 private:
    PracticeHeading heading_;
};

std::streambuf* stderr_itself = nullptr;

}  // namespace

void show_letters(std::string_view format) {
    const bool json = format == "json";
    const bool for_people = format != "csv" && format != "xlsx" && !json;
    // Never freed: streams are flushed after everything else is destroyed.
    if (for_people || (json && isatty(STDOUT_FILENO) != 0))
        std::cout.rdbuf(new ShownLetters(std::cout.rdbuf(), json ? Form::json : Form::text));
    stderr_itself = std::cerr.rdbuf();
    std::cerr.rdbuf(new ShownLetters(stderr_itself, json ? Form::json : Form::text));
}

void head_stdout(Format format) {
    std::cout.rdbuf(new Headed(std::cout.rdbuf(), format));
}

void obeyed_by_terminal(std::string_view text) {
    auto* to = stderr_itself ? stderr_itself : std::cerr.rdbuf();
    to->sputn(text.data(), static_cast<std::streamsize>(text.size()));
    to->pubsync();
}

}  // namespace tarebook::cli
