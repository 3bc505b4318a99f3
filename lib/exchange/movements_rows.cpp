#include "movements_rows.hpp"

#include <fmt/format.h>
#include <sodium.h>

#include <cstring>
#include <optional>
#include <unordered_map>

#include "csv_guard.hpp"
#include "movements_cells.hpp"
#include "movements_clock.hpp"
#include "tarebook/checks/draft_form.hpp"
#include "tarebook/units/nearest.hpp"
#include "tarebook/units/refused.hpp"

namespace tarebook {

void MovementRows::push_back(const MovementRow& row) {
    if (size_ % per_block == 0) blocks_.push_back(std::make_unique<MovementRow[]>(per_block));
    blocks_.back()[size_++ % per_block] = row;
}

bool is_code_part(std::string_view text) {
    for (const char c : text) {
        const bool good = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' ||
                          c == '_' || c == '.';
        if (!good) return false;
    }
    return !text.empty() && text.size() <= 64;
}

namespace {

enum Column : std::size_t {
    kind,
    date,
    time,
    site,
    appliance,
    circuit,
    cylinder,
    refrigerant,
    before,
    after,
    technician,
    job,
    note,
    price
};
constexpr std::array<CsvColumn, 14> headers = {{{"kind"},
                                                {"date"},
                                                {"time"},
                                                {"site"},
                                                {"appliance"},
                                                {"circuit"},
                                                {"cylinder"},
                                                {"refrigerant"},
                                                {"gross_before_lb"},
                                                {"gross_after_lb"},
                                                {"technician"},
                                                {"job"},
                                                {"note", false},
                                                {"price", false}}};

// Finds the row before with the same cells, by digest. Slots have row numbers plus one.
class Repeats {
 public:
    explicit Repeats(const MovementRows& rows) : rows_(rows), slots_(1024, 0) {}
    /// Prefetches the slot that `add` will need: with a million slots it is not in the processor's cache.
    void expect(const RowDigest& digest) const { __builtin_prefetch(&slots_[start(digest)]); }
    /// Puts `row` in the place of the last row with these cells and returns that one; -1 if there is none.
    std::int64_t add(const RowDigest& digest, std::size_t row) {
        if (row * 2 >= slots_.size()) grow(row);
        auto& slot = find(digest);
        const std::int64_t before = static_cast<std::int64_t>(slot) - 1;
        slot = static_cast<std::uint32_t>(row + 1);
        return before;
    }

 private:
    [[nodiscard]] std::size_t start(const RowDigest& digest) const {
        std::size_t at = 0;
        std::memcpy(&at, digest.data(), sizeof at);
        return at & (slots_.size() - 1);
    }
    std::uint32_t& find(const RowDigest& digest) {
        const std::size_t mask = slots_.size() - 1;
        std::size_t at = start(digest);
        for (; slots_[at] != 0 && rows_[slots_[at] - 1].digest != digest;) at = (at + 1) & mask;
        return slots_[at];
    }
    void grow(std::size_t rows) {
        slots_.assign(slots_.size() * 2, 0);
        for (std::size_t i = 0; i < rows; ++i) find(rows_[i].digest) = static_cast<std::uint32_t>(i + 1);
    }

    const MovementRows& rows_;
    std::vector<std::uint32_t> slots_;
};

class Reader {
 public:
    Reader(const Catalogue& catalogue, ByteSource& source, const std::string& name, const ZoneOfSite& zone_of,
           FileProblems& problems)
        : catalogue_(catalogue), csv_(source, name, problems), zone_of_(zone_of), repeats_(rows_) {}

    MovementRows run(const std::function<void(std::size_t)>& progress) {
        if (!CsvColumns::read_header(csv_, headers, cells_)) return std::move(rows_);
        for (std::size_t n = 1; cells_.next(csv_); ++n) {
            take_row();
            if (progress && n % 4096 == 0) progress(csv_.bytes_read());
        }
        put_waiting_row();
        return std::move(rows_);
    }

 private:
    void problem(Column column, Error error) {
        csv_.problem(csv_.line(), headers[column].name, std::move(error));
        good_ = false;
    }

    void take_row() {
        good_ = true;
        MovementRow row;
        row.line = static_cast<std::uint32_t>(csv_.line());
        row.kind = kind_of(cells_.cell(kind));
        take_place(row);
        take_time(row);
        row.cylinder = code(rows_.cylinders, cylinder_is_code_, cylinder);
        row.gas = gas_of(cells_.cell(refrigerant));
        row.before_mlb = weight(before);
        row.after_mlb = weight(after);
        row.technician = text(rows_.technicians, technician_is_text_, technician, "by");
        row.job = text(rows_.jobs, job_is_text_, job, "job");
        row.note = text(rows_.notes, note_is_text_, note, "note");
        const auto paid = price_of(cells_.cell(price), row.kind);
        if (!good_) return;
        if (paid) rows_.prices.emplace(row.line, *paid);
        name_row(row);
        put_waiting_row();
        waiting_ = row;
        repeats_.expect(row.digest);
    }

    // Adds a row only when the next one has been read: by then its slot is in the cache.
    void put_waiting_row() {
        if (!waiting_) return;
        auto& row = *waiting_;
        const auto before_it = repeats_.add(row.digest, rows_.size());
        if (before_it >= 0) {
            const auto earlier = rows_[static_cast<std::size_t>(before_it)].repeat;
            if (earlier == UINT16_MAX)
                csv_.problem(
                    row.line, {},
                    csv_guard::error("row-repeated", "the same row more than 65 535 times", {}, "each movement once"));
            row.repeat = static_cast<std::uint16_t>(earlier + 1);
        }
        rows_.push_back(row);
        waiting_.reset();
    }

    RowKind kind_of(std::string_view typed) {
        if (const auto k = row_kind_from(typed)) return *k;
        problem(kind, unknown_row_kind(typed));
        return RowKind::purchase;
    }

    void take_place(MovementRow& row) {
        const bool is_needed = row.kind == RowKind::charge || row.kind == RowKind::recover;
        const auto s = cells_.cell(site);
        const auto a = cells_.cell(appliance);
        const auto c = cells_.cell(circuit);
        const bool same = !row_place_.empty() && s == row_site_ && a == row_appliance_ && c == row_circuit_;
        if (!same) {
            row_place_.clear();
            bool sound = true;
            const auto part = [&](Column column, std::string_view text, bool needed) {
                if (text.empty() && needed) {
                    problem(column,
                            missing(fmt::format("the {} is missing", headers[column].name),
                                    is_needed ? "the circuit that was opened" : "all of the circuit, or nothing"));
                    sound = false;
                } else if (!text.empty() && !is_code_part(text)) {
                    problem(column, no_code(headers[column].name, text));
                    sound = false;
                }
                if (text.empty()) return;
                if (!row_place_.empty()) row_place_ += '/';
                row_place_ += text;
            };
            part(site, s, is_needed || !a.empty() || !c.empty());
            part(appliance, a, is_needed || !c.empty());
            part(circuit, c, false);  // a job done at the rack names no circuit
            if (!sound) {
                row_place_.clear();
                return;
            }
            row_site_ = s;
            row_appliance_ = a;
            row_circuit_ = c;
            place_ = rows_.places.add(row_place_);
            const auto [it, fresh] = zone_of_site_.try_emplace(row_site_, std::uint8_t{0});
            if (fresh) it->second = clock_for(row_site_);
            zone_ = it->second;
        } else if (is_needed && a.empty()) {
            problem(appliance, missing("the appliance is missing", "the circuit that was opened"));
        }
        row.place = place_;
        row.zone = zone_;
    }
    std::uint8_t clock_for(const std::string& of_site) {
        const auto zone = zone_of_(of_site);
        for (std::size_t i = 0; i < clocks_.size(); ++i)
            if (clocks_[i].zone() == zone) return static_cast<std::uint8_t>(i);
        if (clocks_.size() == 255)
            refuse_too_large("more than 255 time zones in one file", "at most 255 of them: import it in parts");
        clocks_.emplace_back(zone);
        rows_.zones.push_back(zone);
        return static_cast<std::uint8_t>(clocks_.size() - 1);
    }

    void take_time(MovementRow& row) {
        const auto typed_day = cells_.cell(date);
        const auto typed_time = cells_.cell(time);
        if (typed_day.empty()) problem(date, missing("the date is missing", "2026-11-25"));
        if (typed_time.empty()) problem(time, missing("the time is missing", "14:30 on the site's clock"));
        if (typed_day.empty() || typed_time.empty()) return;
        const auto day = days_.read(typed_day);
        if (!day) problem(date, day.error());
        const auto of_day = read_time_of_day(typed_time);
        if (!of_day) problem(time, of_day.error());
        if (!good_) return;
        const auto at = clocks_[row.zone].at(*day, *of_day);
        if (!at) {
            problem(time, at.error());
            return;
        }
        row.at = at->at;
        row.offset_min = at->offset_min;
        day_ = std::chrono::floor<std::chrono::days>(*day).time_since_epoch().count();
        time_ = *of_day;
    }

    TextId code(TextPool& pool, std::vector<bool>& sound, Column column) {
        const auto typed = cells_.cell(column);
        if (typed.empty()) {
            problem(column, missing(fmt::format("the {} is missing", headers[column].name), "its code"));
            return 0;
        }
        const auto id = pool.add(typed);
        if (id >= sound.size()) sound.resize(id + 1, is_code_part(typed));
        if (!sound[id]) problem(column, no_code(headers[column].name, typed));
        return id;
    }
    // `field`: its name in the event.
    TextId text(TextPool& pool, std::vector<bool>& sound, Column column, std::string_view field) {
        const auto typed = cells_.cell(column);
        const auto id = pool.add(typed);
        if (sound.empty()) sound.push_back(true);  // the empty text is number 0 and valid
        if (id >= sound.size()) sound.resize(id + 1, !text_form_problem(field, typed, "the text"));
        if (!sound[id]) problem(column, *text_form_problem(field, typed, "the text"));
        return id;
    }

    std::uint8_t gas_of(std::string_view typed) {
        if (typed.empty()) return 0;
        const auto id = spellings_.add(typed);
        if (id >= gas_of_spelling_.size()) {
            gas_of_spelling_.resize(id + 1, no_gas);
            gas_of_spelling_[id] = known_gas(catalogue_.find(typed));
        }
        if (gas_of_spelling_[id] == no_gas) {
            problem(refrigerant, catalogue_.parse(typed).error());
            return 0;
        }
        return gas_of_spelling_[id];
    }
    std::uint8_t known_gas(const Refrigerant* gas) {
        if (!gas) return no_gas;
        for (std::size_t i = 1; i < rows_.gases.size(); ++i)
            if (rows_.gases[i] == gas) return static_cast<std::uint8_t>(i);
        if (rows_.gases.size() == no_gas)
            refuse_too_large("more than 254 refrigerants in one file", "at most 254 of them: import it in parts");
        rows_.gases.push_back(gas);
        return static_cast<std::uint8_t>(rows_.gases.size() - 1);
    }

    std::optional<Price> price_of(std::string_view typed, RowKind kind_of_row) {
        if (typed.empty()) return std::nullopt;
        auto paid = parse_price(typed);
        if (!paid)
            problem(price, std::move(paid.error()));
        else if (kind_of_row != RowKind::purchase)
            problem(price, csv_guard::error("price-of-purchase", "only a purchase has a price", std::string(typed),
                                            "an empty cell", "write it into the note"));
        else
            return *paid;
        return std::nullopt;
    }

    std::int32_t weight(Column column) {
        const auto typed = cells_.cell(column);
        if (const auto quick = plain_pounds(typed)) return *quick;
        const auto pounds = pounds_cell(typed);
        if (pounds) return *pounds;
        problem(column, pounds.error());
        return 0;
    }

    // The digest covers what the cells mean, not how they were typed: a sheet that was saved again with 43.2 for 43.20
    // has the same rows.
    void name_row(MovementRow& row) {
        std::string& words = words_;
        words.clear();
        const auto end_cell = [&] { words += '\0'; };
        const auto number = [&](std::int64_t n) {
            const fmt::format_int digits(n);
            words.append(digits.data(), digits.size());
            end_cell();
        };
        number(static_cast<int>(row.kind));
        number(day_);
        number(time_.seconds);
        (words += time_.offset) += '\0';
        (words += rows_.places[row.place]) += '\0';
        (words += rows_.cylinders[row.cylinder]) += '\0';
        if (row.gas != 0) words += rows_.gases[row.gas]->designation;
        end_cell();
        number(row.before_mlb);
        number(row.after_mlb);
        (words += rows_.technicians[row.technician]) += '\0';
        (words += rows_.jobs[row.job]) += '\0';
        words += rows_.notes[row.note];
        // A file without the column has the digests that it always had.
        if (const auto paid = rows_.prices.find(row.line); paid != rows_.prices.end())
            (words += '\0') += price_text(paid->second);
        crypto_generichash(row.digest.data(), row.digest.size(), reinterpret_cast<const unsigned char*>(words.data()),
                           words.size(), nullptr, 0);
    }

    static constexpr std::uint8_t no_gas = 255;

    MovementRows rows_;
    const Catalogue& catalogue_;
    CsvReader csv_;
    CsvColumns cells_;
    const ZoneOfSite& zone_of_;
    Repeats repeats_;
    std::optional<MovementRow> waiting_;
    bool good_ = true;

    std::vector<LocalClock> clocks_;
    std::unordered_map<std::string, std::uint8_t> zone_of_site_;
    DayReader days_;
    std::int64_t day_ = 0;
    TimeOfDay time_;

    std::string row_site_, row_appliance_, row_circuit_, row_place_;  // of the row before
    TextId place_ = 0;
    std::uint8_t zone_ = 0;

    TextPool spellings_;
    std::vector<std::uint8_t> gas_of_spelling_{0};
    std::vector<bool> cylinder_is_code_{false};
    std::vector<bool> technician_is_text_, job_is_text_, note_is_text_;
    std::string words_;
};

}  // namespace

MovementRows read_movements(const Catalogue& catalogue, ByteSource& source, const std::string& name,
                            const ZoneOfSite& zone_of, FileProblems& problems,
                            const std::function<void(std::size_t)>& progress) {
    return Reader(catalogue, source, name, zone_of, problems).run(progress);
}

}  // namespace tarebook
