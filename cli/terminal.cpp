#include "terminal.hpp"

#include <unistd.h>

#include <iostream>
#include <streambuf>
#include <string>

#include "tarebook/report/practice.hpp"
#include "tarebook/units/shown_text.hpp"

namespace tarebook::cli {
namespace {

class ShownLetters : public std::streambuf {
 public:
    ShownLetters(std::streambuf* to, Form form) : to_(to), form_(form) {}

 protected:
    int overflow(int c) override {
        if (c == traits_type::eof()) return sync() == 0 ? 0 : c;
        const char letter = traits_type::to_char_type(c);
        return xsputn(&letter, 1) == 1 ? c : traits_type::eof();
    }
    std::streamsize xsputn(const char* bytes, std::streamsize count) override {
        std::string_view piece(bytes, static_cast<std::size_t>(count));
        if (!begun_.empty()) {
            begun_ += piece;
            piece = begun_;
        }
        const auto rest = unfinished_letter(piece);
        const auto text = shown_text(piece.substr(0, piece.size() - rest), form_);
        std::string kept(piece.substr(piece.size() - rest));
        begun_ = std::move(kept);
        const auto size = static_cast<std::streamsize>(text.size());
        return to_->sputn(text.data(), size) == size ? count : 0;
    }
    int sync() override { return to_->pubsync(); }

 private:
    std::streambuf* to_;
    Form form_;
    std::string begun_;  // bytes of an unfinished letter
};

class Headed : public std::streambuf {
 public:
    Headed(std::streambuf* to, Format format) : to_(to), heading_(format) {}

 protected:
    int overflow(int c) override {
        if (c == traits_type::eof()) return sync() == 0 ? 0 : c;
        const char letter = traits_type::to_char_type(c);
        return xsputn(&letter, 1) == 1 ? c : traits_type::eof();
    }
    std::streamsize xsputn(const char* bytes, std::streamsize count) override {
        const auto text = heading_({bytes, static_cast<std::size_t>(count)});
        const auto size = static_cast<std::streamsize>(text.size());
        return to_->sputn(text.data(), size) == size ? count : 0;
    }
    int sync() override { return to_->pubsync(); }

 private:
    std::streambuf* to_;
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
