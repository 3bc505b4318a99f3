#include "server_engine.hpp"

#include <fmt/format.h>
#include <poll.h>

#include <algorithm>
#include <array>
#include <atomic>
#include <cerrno>
#include <chrono>
#include <cstdlib>
#include <cstring>
#include <map>
#include <optional>
#include <vector>

#include "pq_library.hpp"
#include "tarebook/event/event.hpp"
#include "tarebook/units/error.hpp"

namespace tarebook {
namespace {

// Numbers of types (src/include/catalog/pg_type.dat): they never change.
constexpr Oid of_bool = 16, of_bytea = 17, of_int8 = 20, of_int2 = 21, of_int4 = 23, of_text = 25, of_float8 = 701,
              of_numeric = 1700;

struct ClearResult {
    void operator()(PGresult* r) const { pq_library().PQclear(r); }
};
using Rows = std::unique_ptr<PGresult, ClearResult>;

// By the classes of SQLSTATE (PostgreSQL 15 documentation, appendix A).
DbFault fault_of_state(std::string_view state) {
    if (state == "40001" || state == "40P01") return DbFault::collided;
    if (state == "55P03") return DbFault::held;
    if (state == "53100") return DbFault::full;
    if (state == "53200") return DbFault::no_memory;
    if (state == "25006") return DbFault::read_only;
    if (state == "42501") return DbFault::no_permission;
    if (state == "57014") return DbFault::interrupted;
    if (state.starts_with("23")) return DbFault::constraint;
    if (state.starts_with("42")) return DbFault::statement;
    if (state.starts_with("XX")) return DbFault::damaged;
    if (state.starts_with("58")) return DbFault::disk;
    if (state.starts_with("08") || state.starts_with("57P")) return DbFault::lost;
    return DbFault::other;
}

std::string one_line(std::string_view text) {
    std::string out;
    for (const char c : text) {
        const bool blank = c == '\n' || c == '\t' || c == ' ';
        if (!blank || (!out.empty() && out.back() != ' ')) out += blank ? ' ' : c;
    }
    while (!out.empty() && (out.back() == ' ' || out.back() == '.')) out.pop_back();
    return out;
}

template <class Number>
Number from_network(const char* bytes) {
    std::uint64_t out = 0;
    for (std::size_t n = 0; n < sizeof(Number); ++n) out = out << 8U | static_cast<unsigned char>(bytes[n]);
    return static_cast<Number>(out);
}
template <class Number>
void to_network(std::string& out, Number number) {
    for (std::size_t n = sizeof(Number); n > 0; --n)
        out += static_cast<char>(static_cast<std::uint64_t>(number) >> 8U * (n - 1));
}

// A sum of whole numbers: groups of four digits, the first one with this weight (src/backend/utils/adt/numeric.c,
// numeric_send).
std::int64_t whole_numeric(const char* bytes) {
    const auto groups = from_network<std::int16_t>(bytes);
    const auto weight = from_network<std::int16_t>(bytes + 2);
    const bool negative = from_network<std::uint16_t>(bytes + 4) == 0x4000;
    std::int64_t out = 0;
    for (int g = 0; g <= weight; ++g)
        out = out * 10'000 + (g < groups ? from_network<std::int16_t>(bytes + 8 + 2 * g) : 0);
    return negative ? -out : out;
}

// A statement with its values, as libpq takes them.
struct Sent {
    std::string sql, name;  // name: if it is prepared
    std::vector<Oid> types;
    std::vector<std::optional<std::string>> values;
    std::vector<int> binary;

    [[nodiscard]] int count() const { return static_cast<int>(values.size()); }
    [[nodiscard]] std::vector<const char*> bytes() const {
        std::vector<const char*> out;
        for (const auto& v : values) out.push_back(v ? v->c_str() : nullptr);
        return out;
    }
    [[nodiscard]] std::vector<int> sizes() const {
        std::vector<int> out;
        for (const auto& v : values) out.push_back(v ? static_cast<int>(v->size()) : 0);
        return out;
    }
};

class ServerEngine final : public Engine {
 public:
    ServerEngine(const std::filesystem::path& address, bool rehearses)
        : Engine(address), address_(address.string()), rehearses_(rehearses) {
        // What comes behind the address overrides it: a host that does not answer may have less time by the address.
        const std::array<const char*, 5> names = {"connect_timeout", "dbname", "client_encoding",
                                                  "fallback_application_name", nullptr};
        const std::array<const char*, 5> values = {"10", address_.c_str(), "UTF8", "tarebook", nullptr};
        connection_ = pq_.PQconnectStartParams(names.data(), values.data(), 1);
        if (!connection_) throw DbError(DbFault::no_memory, "no memory for a connection", "PostgreSQL");
        pq_.PQsetNoticeProcessor(
            connection_, [](void*, const char*) {}, nullptr);
        connect();
        if (pq_.PQstatus(connection_) != CONNECTION_OK) {
            const auto what = one_line(pq_.PQerrorMessage(connection_));
            pq_.PQfinish(connection_);
            throw DbError(DbFault::lost, what, "PostgreSQL");
        }
        try {
            prepare_connection();
        } catch (...) {
            pq_.PQfinish(connection_);
            throw;
        }
    }
    ServerEngine(const ServerEngine&) = delete;
    ServerEngine& operator=(const ServerEngine&) = delete;
    ~ServerEngine() override { pq_.PQfinish(connection_); }  // the server rolls back what is open

    std::unique_ptr<PreparedStatement> prepare(std::string_view sql) override;
    std::unique_ptr<PreparedStatement> prepare_long(std::string_view sql) override;
    std::unique_ptr<RowWriter> writer(std::string_view into, int columns) override;
    void script(const std::string& sql) override { static_cast<void>(plain(sql)); }

    void begin() override {
        if (rehearses_) return begin_recording({});
        recorded_.reset();
        plain_only("BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY");
        ++transaction_;
    }
    // READ COMMITTED: what a recording judges by is locked before it is read, so each of its statements sees all that
    // was committed of it before, and no other program changes it until the end. A snapshot taken before the lock would
    // be older.
    void begin_recording(const Hold& hold) override {
        if (rehearses_) {
            hold_open();
            plain_only("SAVEPOINT rehearsed");
            depth_ = 1;
            return;
        }
        hold_ = hold;
        take_turn();
    }
    void commit() override {
        if (rehearses_) {
            plain_only("RELEASE SAVEPOINT rehearsed");
            depth_ = 0;
            return;
        }
        const auto done = plain("COMMIT");
        // A transaction in which a statement failed is rolled back by COMMIT, without an error.
        if (std::string_view(pq_.PQcmdStatus(done.get())) == "ROLLBACK")
            throw DbError(DbFault::other, "a statement failed before, and all was rolled back", "PostgreSQL");
    }
    void roll_back() override {
        waiting_.clear();
        if (rehearses_) {
            plain_only("ROLLBACK TO SAVEPOINT rehearsed");
            plain_only("RELEASE SAVEPOINT rehearsed");
            depth_ = 0;
            return;
        }
        plain_only("ROLLBACK");
    }
    [[nodiscard]] bool in_transaction() const override {
        if (rehearses_) return depth_ > 0;
        const auto status = pq_.PQtransactionStatus(connection_);
        return status != PQTRANS_IDLE && status != PQTRANS_UNKNOWN;
    }
    void wait_for_others(bool wait) override { waits_ = wait; }
    std::int64_t data_version() override {
        // While this program records no other one changes it.
        if (recorded_ && in_transaction()) return *recorded_;
        const auto rows = plain("SELECT recorded FROM turn");
        return number_in(rows);
    }
    std::int64_t recorded_mark() override {
        const auto rows = plain("SELECT hashtextextended(pg_current_snapshot()::text, 0)");
        return std::atoll(pq_.PQgetvalue(rows.get(), 0, 0));
    }
    std::unique_ptr<Engine> copy_in_memory() override { return std::make_unique<ServerEngine>(address_, true); }
    [[nodiscard]] bool on_server() const override { return true; }
    void give_cache(int) override {}
    // What the connection that broke was doing may still be under way, and has its locks: this program waits for them
    // before it asks.
    void connect_again() override {
        waiting_.clear();
        pq_.PQreset(connection_);
        ++generation_;
        if (pq_.PQstatus(connection_) != CONNECTION_OK)
            throw DbError(DbFault::lost, one_line(pq_.PQerrorMessage(connection_)), "PostgreSQL");
        prepare_connection();
        take_turn();
    }

    // --- for its statements ---

    Rows checked(PGresult* result) {
        Rows rows(result);
        const auto status = rows ? pq_.PQresultStatus(rows.get()) : PGRES_FATAL_ERROR;
        if (status == PGRES_COMMAND_OK || status == PGRES_TUPLES_OK || status == PGRES_COPY_IN) return rows;
        fail(rows.get());
    }
    [[noreturn]] void fail(const PGresult* result) {
        const char* state = result ? pq_.PQresultErrorField(result, PG_DIAG_SQLSTATE) : nullptr;
        const char* said = result ? pq_.PQresultErrorField(result, PG_DIAG_MESSAGE_PRIMARY) : nullptr;
        const auto what = one_line(said ? said : pq_.PQerrorMessage(connection_));
        const bool broken = pq_.PQstatus(connection_) != CONNECTION_OK;
        throw DbError(broken || !state ? DbFault::lost : fault_of_state(state), what,
                      state ? fmt::format("PostgreSQL {}", state) : std::string("PostgreSQL"));
    }
    Rows plain(const std::string& sql) {
        send_waiting();
        return checked(pq_.PQexec(connection_, sql.c_str()));
    }
    void wait_with(Sent one) { waiting_.push_back(std::move(one)); }
    void send_waiting() {
        if (!waiting_.empty()) static_cast<void>(exchange(nullptr));
    }
    Rows answer_to(const Sent& one) {
        if (!waiting_.empty()) return exchange(&one);
        const auto bytes = one.bytes();
        const auto sizes = one.sizes();
        return checked(one.name.empty() ? pq_.PQexecParams(connection_, one.sql.c_str(), one.count(), one.types.data(),
                                                           bytes.data(), sizes.data(), one.binary.data(), 1)
                                        : pq_.PQexecPrepared(connection_, one.name.c_str(), one.count(), bytes.data(),
                                                             sizes.data(), one.binary.data(), 1));
    }
    // The statement of a text that several callers run: prepared once.
    PreparedStatement& shared(const std::string& sql) {
        auto& out = shared_[sql];
        if (!out) out = prepare(sql);
        return *out;
    }
    [[nodiscard]] std::int64_t transaction() const { return transaction_; }
    [[nodiscard]] int generation() const { return generation_; }
    [[nodiscard]] bool is_open_in_server() const { return pq_.PQtransactionStatus(connection_) == PQTRANS_INTRANS; }
    std::string new_name() { return fmt::format("t{}", ++names_); }
    PGconn* connection() { return connection_; }
    const PqLibrary& pq() { return pq_; }

 private:
    [[nodiscard]] std::int64_t number_in(const Rows& rows) const {
        return pq_.PQntuples(rows.get()) == 1 ? std::atoll(pq_.PQgetvalue(rows.get(), 0, 0)) : 0;
    }
    void plain_only(const char* sql) { static_cast<void>(plain(sql)); }
    // libpq puts on the screen what a server says while it lets a program in, that it dies for one, until it is told
    // not to: it can be told only once it has begun. Its own wait, which has time for each of several hosts, begins
    // with PQreset: for a server that is not there within a second.
    void connect() {
        const auto until = std::chrono::steady_clock::now() + std::chrono::seconds(1);
        auto next = pq_.PQstatus(connection_) == CONNECTION_BAD ? PGRES_POLLING_FAILED : PGRES_POLLING_WRITING;
        while (next == PGRES_POLLING_READING || next == PGRES_POLLING_WRITING) {
            const auto left = std::chrono::ceil<std::chrono::milliseconds>(until - std::chrono::steady_clock::now());
            pollfd socket{pq_.PQsocket(connection_),
                          static_cast<short>(next == PGRES_POLLING_READING ? POLLIN : POLLOUT), 0};
            const int ready = left.count() > 0 ? ::poll(&socket, 1, static_cast<int>(left.count())) : 0;
            if (ready < 0 && errno == EINTR) continue;
            if (ready <= 0) return pq_.PQreset(connection_);
            next = pq_.PQconnectPoll(connection_);
        }
    }
    void prepare_connection() {
        plain_only("SET search_path = tarebook; SET client_min_messages = warning; SET bytea_output = hex");
    }
    // A rehearsal is one transaction, which is never committed.
    void hold_open() {
        if (pq_.PQtransactionStatus(connection_) != PQTRANS_IDLE) return;
        hold_ = {};
        take_turn();
    }
    // Locks what is to be held, all of it in one order, so that no two recordings wait for each other. A lock by a name
    // holds what has no row yet, too.
    [[nodiscard]] std::string locks() const {
        if (hold_.whole) return "LOCK TABLE turn IN EXCLUSIVE MODE; UPDATE turn SET recorded = recorded + 1";
        std::string out = "LOCK TABLE turn IN ROW EXCLUSIVE MODE";
        std::set<std::int64_t> keys;
        for (const auto& name : hold_.names) {
            const auto digest = digest_of(name);
            keys.insert(from_network<std::int64_t>(reinterpret_cast<const char*>(digest.data())));
        }
        for (const auto key : keys) out += fmt::format("; SELECT pg_advisory_xact_lock({})", key);
        return out;
    }
    void take_turn() {
        const auto sql = fmt::format(
            "BEGIN ISOLATION LEVEL READ COMMITTED; SET LOCAL lock_timeout = '{}ms'; {}; SET LOCAL lock_timeout = 0; "
            "SELECT recorded FROM turn",
            waits_ ? 500 : 1, locks());
        for (int tries = 0;; ++tries) {
            try {
                recorded_ = number_in(plain(sql));
                ++transaction_;
                return;
            } catch (const DbError& e) {
                if (pq_.PQstatus(connection_) == CONNECTION_OK) plain_only("ROLLBACK");
                if (e.fault() != DbFault::held || !waits_) throw;
                patience.saw(work_of_others());
                if (!patience.again(tries)) throw;
            }
        }
    }

    // When the other programs in a transaction last did something.
    std::string work_of_others() {
        const auto rows = plain(
            "SELECT max(state_change) FROM pg_stat_activity WHERE datname = current_database() AND "
            "pid <> pg_backend_pid() AND xact_start IS NOT NULL AND wait_event_type IS DISTINCT FROM "
            "'Lock'");
        return pq_.PQgetvalue(rows.get(), 0, 0);
    }

    const PqLibrary& pq_ = pq_library();
    // Sends what waits, and `last`, in one journey: each as it would go alone, in order, the rest not behind one that
    // fails (libpq's pipeline mode). Returns the answer to `last`.
    Rows exchange(const Sent* last) {
        auto all = std::move(waiting_);
        waiting_.clear();
        if (last) all.push_back(*last);
        bool on_the_way = pq_.PQenterPipelineMode(connection_) == 1;
        for (const auto& one : all) {
            const auto bytes = one.bytes();
            const auto sizes = one.sizes();
            on_the_way =
                on_the_way &&
                (one.name.empty() ? pq_.PQsendQueryParams(connection_, one.sql.c_str(), one.count(), one.types.data(),
                                                          bytes.data(), sizes.data(), one.binary.data(), 1)
                                  : pq_.PQsendQueryPrepared(connection_, one.name.c_str(), one.count(), bytes.data(),
                                                            sizes.data(), one.binary.data(), 1)) == 1;
        }
        on_the_way = on_the_way && pq_.PQpipelineSync(connection_) == 1;
        Rows out, failed;
        for (std::size_t n = 0; on_the_way && n < all.size(); ++n) {
            Rows rows(pq_.PQgetResult(connection_));
            on_the_way = rows != nullptr;
            while (auto* more = on_the_way ? pq_.PQgetResult(connection_) : nullptr) pq_.PQclear(more);
            if (rows && pq_.PQresultStatus(rows.get()) == PGRES_FATAL_ERROR) {
                if (!failed) failed = std::move(rows);
            } else {
                out = std::move(rows);
            }
        }
        if (on_the_way) Rows(pq_.PQgetResult(connection_));  // of the end
        pq_.PQexitPipelineMode(connection_);
        if (failed) fail(failed.get());
        if (!on_the_way || pq_.PQstatus(connection_) != CONNECTION_OK) fail(nullptr);
        return out;
    }

    std::vector<Sent> waiting_;
    std::map<std::string, std::unique_ptr<PreparedStatement>, std::less<>> shared_;
    std::string address_;
    bool rehearses_, waits_ = true;
    Hold hold_;
    std::optional<std::int64_t> recorded_;  // of `turn`, when this recording began
    int depth_ = 0;
    PGconn* connection_ = nullptr;
    std::int64_t transaction_ = 0;
    int generation_ = 0, names_ = 0;
};

class ServerStatement final : public PreparedStatement {
 public:
    ServerStatement(ServerEngine& engine, std::string_view sql, bool is_long)
        : engine_(engine), pq_(engine.pq()), sql_(server_sql(sql)), long_(is_long) {
        values_.resize(static_cast<std::size_t>(sql_.values));
    }
    ~ServerStatement() override { end(); }

    void bind(int n, std::int64_t value) override { at(n) = {of_int8, std::to_string(value), 0}; }
    void bind(int n, double value) override { at(n) = {of_float8, fmt::format("{}", value), 0}; }
    void bind_text(int n, std::string_view text) override {
        if (text.find('\0') != std::string_view::npos)
            throw DbError(DbFault::constraint, "a text has a byte of zero in it", "PostgreSQL");
        at(n) = {of_text, std::string(text), 0};
    }
    void bind_bytes(int n, std::string_view bytes) override { at(n) = {of_bytea, std::string(bytes), 1}; }
    void bind_nothing(int n) override { at(n) = {0, std::nullopt, 0}; }

    bool step() override {
        if (!rows_) {
            if (done_) return false;
            run();
        } else {
            ++row_;
        }
        if (row_ < count_) return true;
        if (cursor_.empty()) return false;
        fetch();
        return row_ < count_;
    }
    void send() override {
        if (!engine_.in_transaction()) return static_cast<void>(step());  // no commit would come behind it
        engine_.wait_with(as_sent());
    }
    void reset() noexcept override {
        end();
        for (auto& value : values_) value = {};
    }
    [[nodiscard]] int changes() const override { return changes_; }

    [[nodiscard]] ColumnType type(int n) const override {
        if (pq_.PQgetisnull(rows_.get(), row_, n) != 0) return ColumnType::nothing;
        switch (pq_.PQftype(rows_.get(), n)) {
            case of_bytea:
                return ColumnType::bytes;
            case of_float8:
                return ColumnType::real;
            case of_bool:
            case of_int2:
            case of_int4:
            case of_int8:
            case of_numeric:
                return ColumnType::integer;
            default:
                return ColumnType::text;
        }
    }
    // A column that is not there, or is NULL, is 0, as in a file.
    [[nodiscard]] std::int64_t integer(int n) const override {
        if (pq_.PQgetisnull(rows_.get(), row_, n) != 0) return 0;
        const char* value = pq_.PQgetvalue(rows_.get(), row_, n);
        switch (pq_.PQftype(rows_.get(), n)) {
            case of_int8:
                return from_network<std::int64_t>(value);
            case of_int4:
                return from_network<std::int32_t>(value);
            case of_int2:
                return from_network<std::int16_t>(value);
            case of_bool:
                return value[0];
            case of_numeric:
                return whole_numeric(value);
            default:
                return std::atoll(value);
        }
    }
    [[nodiscard]] double real(int n) const override {
        if (pq_.PQftype(rows_.get(), n) != of_float8) return static_cast<double>(integer(n));
        const auto bits = from_network<std::uint64_t>(pq_.PQgetvalue(rows_.get(), row_, n));
        double out = 0;
        std::memcpy(&out, &bits, sizeof out);
        return out;
    }
    [[nodiscard]] std::string_view bytes(int n) const override {
        return {pq_.PQgetvalue(rows_.get(), row_, n), static_cast<std::size_t>(pq_.PQgetlength(rows_.get(), row_, n))};
    }

 private:
    struct Value {
        Oid type = 0;
        std::optional<std::string> bytes;
        int is_binary = 0;
    };
    static constexpr int rows_at_once = 1'000;

    Value& at(int n) { return values_.at(static_cast<std::size_t>(n) - 1); }

    // A text is sent as it is the first time, in one exchange; from the second time on it is prepared.
    void run() {
        if (!long_) return take(engine_.answer_to(as_sent()));
        const std::string held = engine_.is_open_in_server() ? "" : "WITH HOLD ";
        const auto opened = engine_.new_name();
        auto declared = as_sent();
        declared.sql = fmt::format("DECLARE {} NO SCROLL CURSOR {}FOR {}", opened, held, sql_.text);
        take(engine_.answer_to(declared));
        cursor_ = opened;
        cursor_holds_ = !held.empty();
        cursor_transaction_ = engine_.transaction();
        fetch();
    }
    Sent as_sent() {
        Sent out{sql_.text, {}, {}, {}, {}};
        for (auto& v : values_) {
            out.types.push_back(v.type);
            out.values.push_back(v.bytes);
            out.binary.push_back(v.is_binary);
        }
        if (generation_ != engine_.generation()) name_.clear(), runs_ = 0, generation_ = engine_.generation();
        if (!long_ && ++runs_ > 1 && name_.empty()) {
            const auto name = engine_.new_name();
            engine_.checked(
                pq_.PQprepare(engine_.connection(), name.c_str(), out.sql.c_str(), sql_.values, out.types.data()));
            name_ = name;
        }
        out.name = name_;
        return out;
    }
    void take(Rows rows) {
        rows_ = std::move(rows);
        row_ = 0;
        count_ = pq_.PQntuples(rows_.get());
        changes_ = std::atoi(pq_.PQcmdTuples(rows_.get()));
        done_ = true;
    }
    void fetch() {
        const auto sql = fmt::format("FETCH {} FROM {}", rows_at_once, cursor_);
        take(engine_.answer_to({sql, {}, {}, {}, {}}));
        if (count_ < rows_at_once) close();
    }
    // A cursor of a transaction goes with it.
    void close() noexcept {
        const bool there =
            cursor_holds_ || (engine_.is_open_in_server() && cursor_transaction_ == engine_.transaction());
        if (there && generation_ == engine_.generation())
            pq_.PQclear(pq_.PQexec(engine_.connection(), ("CLOSE " + cursor_).c_str()));
        cursor_.clear();
    }
    void end() noexcept {
        if (!cursor_.empty()) close();
        rows_.reset();
        done_ = false;
        row_ = count_ = 0;
    }

    ServerEngine& engine_;
    const PqLibrary& pq_;
    ServerSql sql_;
    bool long_;
    std::vector<Value> values_;
    std::string name_, cursor_;
    bool cursor_holds_ = false, done_ = false;
    std::int64_t cursor_transaction_ = 0;
    int generation_ = 0, runs_ = 0;
    Rows rows_;
    int row_ = 0, count_ = 0, changes_ = 0;
};

// A few rows go with the next question; many by COPY in binary: the bytes of each column as it stores them.
class ServerRows final : public RowWriter {
 public:
    ServerRows(ServerEngine& engine, std::string_view into, int columns)
        : engine_(engine), into_(into), columns_(columns) {}
    [[nodiscard]] std::size_t rows_at_once() const override { return 4'096; }
    void write(std::span<const WaitingValue> values, const char* buffer) override {
        constexpr std::size_t few = 8;
        if (values.size() <= few * static_cast<std::size_t>(columns_)) return send(values, buffer);
        std::string out("PGCOPY\n\377\r\n\0", 11);
        to_network<std::int32_t>(out, 0);
        to_network<std::int32_t>(out, 0);
        int column = 0;
        for (const auto& v : values) {
            if (column == 0) to_network<std::int16_t>(out, static_cast<std::int16_t>(columns_));
            column = (column + 1) % columns_;
            add(out, v, buffer);
        }
        to_network<std::int16_t>(out, -1);
        auto& pq = engine_.pq();
        engine_.plain(fmt::format("COPY {} FROM STDIN (FORMAT binary)", into_));
        if (pq.PQputCopyData(engine_.connection(), out.data(), static_cast<int>(out.size())) != 1 ||
            pq.PQputCopyEnd(engine_.connection(), nullptr) != 1)
            engine_.fail(nullptr);
        Rows first(pq.PQgetResult(engine_.connection()));
        while (auto* more = pq.PQgetResult(engine_.connection())) pq.PQclear(more);
        engine_.checked(first.release());
    }

 private:
    static void add(std::string& out, const WaitingValue& v, const char* buffer) {
        switch (v.type) {
            case ColumnType::nothing:
                to_network<std::int32_t>(out, -1);
                return;
            case ColumnType::integer:
                to_network<std::int32_t>(out, 8);
                to_network<std::int64_t>(out, v.number);
                return;
            case ColumnType::real: {
                std::uint64_t bits = 0;
                std::memcpy(&bits, &v.real, sizeof bits);
                to_network<std::int32_t>(out, 8);
                to_network<std::uint64_t>(out, bits);
                return;
            }
            default:
                to_network<std::int32_t>(out, static_cast<std::int32_t>(v.size));
                out.append(buffer + v.number, v.size);
        }
    }
    void send(std::span<const WaitingValue> values, const char* buffer) {
        auto sql = fmt::format("INSERT INTO {} VALUES (?", into_);
        for (int n = 1; n < columns_; ++n) sql += ", ?";
        auto& row = engine_.shared(sql + ")");
        int n = 0;
        for (const auto& v : values) {
            bind(row, ++n, v, buffer);
            if (n < columns_) continue;
            row.send();
            row.reset();
            n = 0;
        }
    }
    static void bind(PreparedStatement& row, int n, const WaitingValue& v, const char* buffer) {
        switch (v.type) {
            case ColumnType::nothing:
                return row.bind_nothing(n);
            case ColumnType::integer:
                return row.bind(n, v.number);
            case ColumnType::real:
                return row.bind(n, v.real);
            case ColumnType::text:
                return row.bind_text(n, {buffer + v.number, v.size});
            case ColumnType::bytes:
                return row.bind_bytes(n, {buffer + v.number, v.size});
        }
    }
    ServerEngine& engine_;
    std::string into_;
    int columns_;
};

std::unique_ptr<PreparedStatement> ServerEngine::prepare(std::string_view sql) {
    return std::make_unique<ServerStatement>(*this, sql, false);
}
std::unique_ptr<PreparedStatement> ServerEngine::prepare_long(std::string_view sql) {
    return std::make_unique<ServerStatement>(*this, sql, true);
}
std::unique_ptr<RowWriter> ServerEngine::writer(std::string_view into, int columns) {
    return std::make_unique<ServerRows>(*this, into, columns);
}

}  // namespace

std::unique_ptr<Engine> server_engine(const std::filesystem::path& address) {
    return std::make_unique<ServerEngine>(address, false);
}

}  // namespace tarebook
