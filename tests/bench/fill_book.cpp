// Fills a new book with a generated workload (movements, cylinders and circuits as CSV without quotes), in transactions
// of 5 000 events, with all checks: what the benchmarks measure on.
//   fill_book BOOK FOLDER [MOST]
#include <fmt/format.h>

#include <cstdlib>
#include <fstream>
#include <iostream>
#include <sstream>

#include "tarebook/book.hpp"
#include "tarebook/checks.hpp"
#include "tarebook/refrigerant.hpp"

using namespace tarebook;

namespace {

std::vector<std::string> cells(const std::string& line) {
    std::vector<std::string> out;
    std::stringstream in(line);
    for (std::string cell; std::getline(in, cell, ',');) out.push_back(cell);
    return out;
}

template <class F>
void each_row(const std::string& path, F&& visit) {
    std::ifstream in(path);
    if (!in) throw std::runtime_error("cannot read " + path);
    std::string line;
    std::getline(in, line);
    while (std::getline(in, line)) visit(cells(line));
}

Weight pounds(const std::string& text) {
    return parse_weight(text + "lb", ScaleReads::unknown).value();
}

std::string gas(const std::string& typed) {
    return std::string(find_refrigerant(typed)->designation);
}

struct Filler {
    Book& book;
    Judge judge;
    std::vector<Event> batch;
    Moment when;
    std::int64_t exceptions = 0;

    void add(What what) {
        Event e;
        e.when = when;
        e.recorded = when.at;
        e.what = std::move(what);
        batch.push_back(std::move(e));
    }
    void flush() {
        if (batch.empty()) return;
        auto t = book.begin();
        const auto outcomes = t.judge(batch, judge);
        for (const auto& o : outcomes)
            for (const auto& f : o.findings) exceptions += f.severity != Severity::note;
        t.commit(batch, outcomes);
        batch.clear();
    }
};

}  // namespace

int main(int argc, char** argv) {
    if (argc < 3) {
        std::cerr << "fill_book BOOK FOLDER [MOST]\n";
        return 2;
    }
    const std::string folder = argv[2];
    const long most = argc > 3 ? std::atol(argv[3]) : -1;
    const auto began = parse_moment("2019-12-31T12:00Z", "UTC", Instant()).value();
    auto book = Book::create(argv[1], "Bench", DisplayUnits::lb, "UTC", began);
    Filler f{book, {}, {}, began, 0};
    auto entry = [&](EntryKind kind, const std::string& code, FieldValues values) {
        f.add(kinds::Entry{kind, code, true, std::move(values)});
    };
    std::string site;
    std::string appliance;
    each_row(folder + "/circuits.csv", [&](const std::vector<std::string>& r) {
        if (r[0] != site) entry(EntryKind::site, r[0], {{"owner", {"Owner of " + r[0], {}}}});
        const auto a = r[0] + "/" + r[1];
        if (a != appliance)
            entry(EntryKind::appliance, a,
                  {{"refrigerant", {gas(r[3]), {}}},
                   {"category", {"commercial-refrigeration", {}}},
                   {"full_charge", {"200lb", Mass::pounds(200)}}});
        entry(EntryKind::circuit, a + "/" + r[2], {{"serves", {r[2], {}}}});
        site = r[0];
        appliance = a;
    });
    each_row(folder + "/cylinders.csv", [&](const std::vector<std::string>& r) {
        const auto wc = pounds(r[3]);
        const auto tare = pounds(r[4]);
        entry(EntryKind::cylinder, r[0],
              {{"use", {r[0].starts_with("RC") ? "consolidation" : "supply", {}}},
               {"refrigerant", {gas(r[2]), {}}},
               {"wc", {wc.typed, wc.mass}},
               {"tare", {tare.typed, tare.mass}},
               {"tested", {"2019-12", {}}},
               {"spec", {"DOT-4BA600", {}}},
               {"flammable", {"yes", {}}}});
    });
    f.flush();
    long n = 0;
    each_row(folder + "/events.csv", [&](const std::vector<std::string>& r) {
        if (most >= 0 && n >= most) return;
        ++n;
        f.when = parse_moment(r[1] + "T" + r[2] + "Z", "UTC", Instant()).value();
        const auto circuit = r[3] + "/" + r[4] + "/" + r[5];
        const Weighing w{pounds(r[8]), pounds(r[9]), {}};
        if (r[0] == "purchase") {
            kinds::Receive k;
            k.cylinder = r[6];
            k.from = "Supplier";
            k.weighing = w;
            f.add(k);
        } else if (r[0] == "charge") {
            kinds::Charge k;
            k.circuit = circuit;
            k.from = r[6];
            k.weighing = w;
            f.add(k);
        } else if (r[0] == "recover") {
            kinds::Recover k;
            k.circuit = circuit;
            k.into = r[6];
            k.weighing = w;
            f.add(k);
        } else if (r[0] == "return") {
            kinds::Return k;
            k.cylinder = r[6];
            k.to = "Reclaimer";
            k.weighing = w;
            f.add(k);
        } else {
            kinds::Release k;
            k.cylinder = r[6];
            k.weighing = w;
            k.method = "weighed";
            k.why = "purged hose";
            f.add(k);
        }
        f.batch.back().by = r[10];
        f.batch.back().job = r[11];
        if (f.batch.size() == 5000) f.flush();
    });
    f.flush();
    fmt::print("{} movements, {} findings\n", n, f.exceptions);
}
