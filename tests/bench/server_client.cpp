// One desk of server_desks.py: a program that keeps a book open, and records in it until the time is over.
//
//   server_client BOOK CYLINDERS DESK DESKS BEGIN SECONDS RATE
//
// CYLINDERS has a line for each: code, circuit, gross weight in 0.01 lb. Most belong to one desk; the last twentieth to
// all. BEGIN is a time of day in seconds since 1970: all desks begin together. RATE: recordings a second, by dice; 0 is
// as fast as it can. What each recording came to is told as the library returned it: "committed 0.0123" with the
// seconds that it took, "committed-with-exception 0.0123 CHECK", "refused NAME", "failed WORDS".
#include <fmt/format.h>

#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <random>
#include <sstream>
#include <thread>

#include "tarebook/record/drafting.hpp"
#include "tarebook/record/record.hpp"

using namespace tarebook;

namespace {

using Clock = std::chrono::system_clock;

struct Cylinder {
    std::string code, circuit;
    int gross = 0;  // 0.01 lb
    int moved = 0;  // 0.01 lb that the last recovery put in, and that is not back yet
};

Weight weight(int hundredths) {
    return parse_weight(fmt::format("{}.{:02}lb", hundredths / 100, hundredths % 100), ScaleReads::lb).value();
}

// A third are weights. Else some tenths of a pound go into the cylinder, or back into its circuit: what it holds stays
// in its bounds. How much is drawn, since the same amount twice may be one act that was entered twice.
What next_act(Cylinder& c, bool own, std::mt19937& dice) {
    if (!own || dice() % 3 == 0) {
        kinds::Weigh k;
        k.cylinder = c.code;
        k.gross = weight(c.gross);
        return k;
    }
    const int before = c.gross;
    if (c.moved == 0) {
        c.moved = 5 + static_cast<int>(dice() % 56);
        c.gross += c.moved;
        kinds::Recover k;
        k.circuit = c.circuit;
        k.into = c.code;
        k.weighing = {weight(before), weight(c.gross), {}};
        return k;
    }
    c.gross -= c.moved;
    c.moved = 0;
    kinds::Reuse k;
    k.circuit = c.circuit;
    k.from = c.code;
    k.weighing = {weight(before), weight(c.gross), {}};
    return k;
}

class Client {
 public:
    Client(const char* place, const char* cylinders, std::size_t number, std::size_t desks)
        : book_(Book::open(place, Access::write)), dice_(static_cast<unsigned>(number)) {
        std::vector<Cylinder> all;
        std::ifstream in(cylinders);
        for (std::string line; std::getline(in, line);) {
            Cylinder c;
            std::istringstream words(line);
            words >> c.code >> c.circuit >> c.gross;
            all.push_back(c);
        }
        const auto common = all.size() / 20;
        for (std::size_t i = 0; i < all.size(); ++i)
            if (i + common >= all.size())
                common_.push_back(all[i]);
            else if (i % desks == number)
                own_.push_back(all[i]);
        if (own_.empty() || common_.empty()) throw std::runtime_error("too few cylinders for so many desks");
    }
    /// What it took counts from `began` on.
    void record_once(Clock::time_point began) {
        const bool own = dice_() % 20 != 0;
        auto& cylinders = own ? own_ : common_;
        auto& cylinder = cylinders[dice_() % cylinders.size()];
        const auto was = cylinder;
        try {
            const auto draft = make_event(book_, next_act(cylinder, own, dice_),
                                          {.now = std::chrono::time_point_cast<std::chrono::seconds>(Clock::now())});
            const auto done = record(book_, {draft.value()}, {});
            const std::chrono::duration<double> took = Clock::now() - began;
            if (done && done.exception_count == 0)
                std::printf("committed %.6f\n", took.count());
            else if (done)
                std::printf("committed-with-exception %.6f %s\n", took.count(),
                            done.exceptions.front().finding.check.c_str());
            else
                std::printf("refused %s\n", done.error().name.c_str());
            if (!done) cylinder = was;
        } catch (const StorageError& e) {
            std::printf("failed %s\n", e.what());
            cylinder = was;
        }
    }
    std::mt19937& dice() { return dice_; }

 private:
    Book book_;
    std::mt19937 dice_;
    std::vector<Cylinder> own_, common_;
};

void work(Client& desk, Clock::time_point begin, Clock::time_point end, double rate) {
    std::this_thread::sleep_until(begin);
    std::exponential_distribution<double> pause(rate > 0 ? rate : 1);
    auto due = begin;
    for (;;) {
        if (rate > 0) {  // a desk that is late begins at once, and has waited since it was due, as in pgbench
            due += std::chrono::duration_cast<Clock::duration>(std::chrono::duration<double>(pause(desk.dice())));
            if (due >= end) return;
            std::this_thread::sleep_until(due);
        }
        if (Clock::now() >= end) return;
        desk.record_once(rate > 0 ? due : Clock::now());
    }
}

}  // namespace

int main(int argc, char** argv) {
    if (argc != 8) {
        std::fputs("server_client BOOK CYLINDERS DESK DESKS BEGIN SECONDS RATE\n", stderr);
        return 2;
    }
    try {
        Client desk(argv[1], argv[2], std::strtoul(argv[3], nullptr, 10), std::strtoul(argv[4], nullptr, 10));
        const auto begin = Clock::time_point(
            std::chrono::duration_cast<Clock::duration>(std::chrono::duration<double>(std::strtod(argv[5], nullptr))));
        const auto end = begin + std::chrono::duration_cast<Clock::duration>(
                                     std::chrono::duration<double>(std::strtod(argv[6], nullptr)));
        if (Clock::now() > begin) throw std::runtime_error("the book was opened too late");
        work(desk, begin, end, std::strtod(argv[7], nullptr));
    } catch (const StorageError& e) {
        std::fprintf(stderr, "%s %s\n", e.what(), e.next().c_str());
        return 3;
    } catch (const std::exception& e) {
        std::fprintf(stderr, "%s\n", e.what());
        return 1;
    }
}
