#include "terminal.hpp"

#include <fmt/format.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include <algorithm>
#include <charconv>
#include <cstdlib>
#include <iostream>
#include <streambuf>
#include <string>
#include <utility>

#include "tarebook/report/practice.hpp"
#include "tarebook/units/fitted_text.hpp"
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
        return written(changed({bytes, static_cast<std::size_t>(count)})) ? count : 0;
    }
    bool written(const std::string& text) {
        const auto size = static_cast<std::streamsize>(text.size());
        return to_->sputn(text.data(), size) == size;
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

// A key more in the first object that is written.
class WithKey : public Through {
 public:
    WithKey(std::streambuf* to, std::string key) : Through(to), key_(std::move(key)) {}

 protected:
    std::string changed(std::string_view piece) override {
        std::string out(piece);
        const auto brace = key_.empty() ? std::string::npos : out.find('{');
        if (brace == std::string::npos) return out;
        out.insert(brace + 1, std::exchange(key_, {}));
        return out;
    }

 private:
    std::string key_;
};

// Holds a line back until it ends, or until it is flushed because an answer is awaited.
class Fitted : public Through {
 public:
    Fitted(std::streambuf* to, std::size_t width, std::size_t hanging)
        : Through(to), width_(width), hanging_(hanging) {}
    void end() {
        is_on_ = false;
        sync();
    }

 protected:
    std::string changed(std::string_view piece) override {
        if (!is_on_) return std::string(piece);
        line_ += piece;
        const auto end = line_.rfind('\n');
        if (end == std::string::npos) return {};
        auto text = fitted_text(std::string_view(line_).substr(0, end + 1), width_, hanging_);
        line_.erase(0, end + 1);
        return text;
    }
    int sync() override {
        if (!line_.empty()) {
            const auto text = fitted_text(line_, width_, hanging_);
            line_.clear();
            if (!written(text)) return -1;
        }
        return Through::sync();
    }

 private:
    std::size_t width_, hanging_;
    std::string line_;
    bool is_on_ = true;
};

std::streambuf* stderr_itself = nullptr;
Fitted* fitted_stdout = nullptr;

}  // namespace

std::optional<std::size_t> line_width(int stream) {
    if (const char* columns = std::getenv("COLUMNS")) {
        const std::string_view typed(columns);
        std::size_t asked = 0;
        const auto [end, error] = std::from_chars(typed.data(), typed.data() + typed.size(), asked);
        if (error == std::errc::result_out_of_range && end == typed.data() + typed.size()) asked = widest_text;
        if (asked > 0 && end == typed.data() + typed.size()) return std::clamp(asked, narrowest_text, widest_text);
    }
    if (isatty(stream) == 0) return std::nullopt;
    winsize window{};
    if (ioctl(stream, TIOCGWINSZ, &window) != 0 || window.ws_col == 0) return usual_text;
    return std::clamp(std::size_t{window.ws_col}, narrowest_text, widest_text);
}

namespace {

// Breaks what is written in text from now on into lines, where their width is known: stderr, and stdout if it is a
// terminal. A file gets pages alone in lines of a width.
void fit_lines() {
    // Never freed: streams are flushed after everything else is destroyed.
    if (const auto width = line_width(STDOUT_FILENO); width && isatty(STDOUT_FILENO) != 0)
        std::cout.rdbuf(fitted_stdout = new Fitted(std::cout.rdbuf(), *width, 0));
    if (const auto width = line_width(STDERR_FILENO)) {
        std::cerr.rdbuf(new Fitted(std::cerr.rdbuf(), *width, 2));
        // A line comes in pieces: it is written when it ends, or before an answer is read.
        std::cerr.unsetf(std::ios::unitbuf);
        std::cin.tie(&std::cerr);
    }
}

}  // namespace

void leave_stdout_as_it_is() {
    if (fitted_stdout) fitted_stdout->end();
}

void show_letters(std::string_view format) {
    const bool json = format == "json";
    const bool for_people = format != "csv" && format != "xlsx" && !json;
    stderr_itself = std::cerr.rdbuf();
    if (for_people && format != "html") fit_lines();
    // Never freed: streams are flushed after everything else is destroyed.
    if (for_people || (json && isatty(STDOUT_FILENO) != 0))
        std::cout.rdbuf(new ShownLetters(std::cout.rdbuf(), json ? Form::json : Form::text));
    std::cerr.rdbuf(new ShownLetters(std::cerr.rdbuf(), json ? Form::json : Form::text));
}

void head_stdout(Format format) {
    std::cout.rdbuf(new Headed(std::cout.rdbuf(), format));
}

void begin_stdout_with(std::string_view key, std::string_view text) {
    std::cout.rdbuf(new WithKey(std::cout.rdbuf(), fmt::format("\n  \"{}\": \"{}\",", key, text)));
}

void obeyed_by_terminal(std::string_view text) {
    std::cerr.flush();
    auto* to = stderr_itself ? stderr_itself : std::cerr.rdbuf();
    to->sputn(text.data(), static_cast<std::streamsize>(text.size()));
    to->pubsync();
}

}  // namespace tarebook::cli
