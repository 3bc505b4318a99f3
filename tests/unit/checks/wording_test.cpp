// What people read when a recording is refused or listed, word for word. A change of a sentence is a change of this
// file's golden text, with its reason in the commit.
#include <fstream>
#include <sstream>

#include "shop.hpp"

using namespace shop;

namespace {

std::string all_words() {
    std::ostringstream out;
    for (const auto& row : rows()) {
        Shop s;
        const auto event = row.act(s);
        const auto findings = s.judge(event).findings;
        if (findings.empty()) continue;
        out << "# " << row.title << "\n";
        for (const auto& f : findings) {
            out << text_of(f.severity) << " " << f.check << " " << f.subject << ": " << f.text << "\n";
            if (!f.seen.empty()) out << "  seen " << f.seen << "\n";
            if (!f.expected.empty()) out << "  expected " << f.expected << "\n";
            if (!f.next.empty()) out << "  next: " << f.next << "\n";
            if (!f.question.empty()) out << "  asked: " << f.question << "\n";
        }
        out << "\n";
    }
    return out.str();
}

}  // namespace

TEST_CASE("the words of every finding are those of wording.txt") {
    std::ifstream file(TAREBOOK_SOURCE_DIR "/tests/unit/checks/wording.txt");
    std::stringstream golden;
    golden << file.rdbuf();
    const auto words = all_words();
    if (words != golden.str()) std::ofstream(WORDING_OUT) << words;
    CHECK_MESSAGE(words == golden.str(), "what was said instead is in " WORDING_OUT);
}

TEST_CASE("no finding calls anything safe, and every refusal says what to do now") {
    for (const auto& row : rows()) {
        Shop s;
        const auto event = row.act(s);
        for (const auto& f : s.judge(event).findings) {
            CAPTURE(f.check);
            CHECK((f.text + f.seen + f.expected + f.next + f.question).find("safe") == std::string::npos);
            CHECK_FALSE(f.subject.empty());
            CHECK_FALSE(f.text.empty());
            if (f.severity == Severity::note) continue;
            CHECK_FALSE(f.seen.empty());
            CHECK_FALSE(f.expected.empty());
            CHECK_FALSE(f.next.empty());
            CHECK(f.next.find("--anyway") == std::string::npos);
        }
    }
}
