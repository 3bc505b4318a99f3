// The seam to the database: questions, rows, transactions. All SQL of lib/book goes through these calls. What only a
// file has (journals, copies, the schema's text, damaged pages) is in the files about it, over sqlite_engine.hpp.
#pragma once

#include <array>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <unordered_map>

#include "engine.hpp"
#include "tarebook/book/book.hpp"

namespace tarebook {

/// A value that SQL takes as bytes, not as text.
struct Bytes {
    std::string_view bytes;
};
template <std::size_t N>
Bytes bytes_of(const std::array<std::uint8_t, N>& array) {
    return {{reinterpret_cast<const char*>(array.data()), N}};
}

/// Binds a value to the n-th question mark of a statement.
inline void bind_value(PreparedStatement& s, int n, std::int64_t value) {
    s.bind(n, value);
}
inline void bind_value(PreparedStatement& s, int n, std::string_view text) {
    s.bind_text(n, text);
}
inline void bind_value(PreparedStatement& s, int n, const Bytes& value) {
    s.bind_bytes(n, value.bytes);
}
inline void bind_value(PreparedStatement& s, int n, std::nullopt_t) {
    s.bind_nothing(n);
}
template <std::size_t N>
void bind_value(PreparedStatement& s, int n, const std::array<std::uint8_t, N>& value) {
    bind_value(s, n, bytes_of(value));
}
template <class T>
void bind_value(PreparedStatement& s, int n, const std::optional<T>& value) {
    if (value)
        bind_value(s, n, *value);
    else
        bind_value(s, n, std::nullopt);
}

/// The rows that answer a question, read one after another. Throws DbError.
class Answer {
 public:
    explicit Answer(std::unique_ptr<PreparedStatement> own) : statement_(own.get()), own_(std::move(own)) {}
    Answer(PreparedStatement& kept, bool& busy) : statement_(&kept), busy_(&busy) { busy = true; }
    Answer(Answer&& other) noexcept : statement_(other.statement_), own_(std::move(other.own_)), busy_(other.busy_) {
        other.statement_ = nullptr, other.busy_ = nullptr;
    }
    Answer& operator=(Answer&&) = delete;
    ~Answer() {
        if (busy_) statement_->reset(), *busy_ = false;
    }

    bool next() { return statement_->step(); }
    /// The columns of the row, from 0 on. Text and bytes are valid until the next call of next().
    [[nodiscard]] std::int64_t integer(int n) const { return statement_->integer(n); }
    [[nodiscard]] double real(int n) const { return statement_->real(n); }
    [[nodiscard]] bool is_null(int n) const { return type(n) == ColumnType::nothing; }
    [[nodiscard]] ColumnType type(int n) const { return statement_->type(n); }
    [[nodiscard]] std::string_view bytes(int n) const { return statement_->bytes(n); }
    [[nodiscard]] std::string text(int n) const { return std::string(bytes(n)); }
    /// A value of exactly N bytes. StorageError if it has another number of bytes.
    template <std::size_t N>
    [[nodiscard]] std::array<std::uint8_t, N> fixed(int n) const {
        const auto bytes = this->bytes(n);
        if (bytes.size() != N)
            throw StorageError("a column of the book does not have its length", "run: tarebook check");
        std::array<std::uint8_t, N> out{};
        std::copy(bytes.begin(), bytes.end(), reinterpret_cast<char*>(out.data()));
        return out;
    }
    [[nodiscard]] Digest digest(int n) const { return fixed<std::tuple_size_v<Digest>>(n); }

    template <class... T>
    Answer& with(const T&... values) {
        [[maybe_unused]] int n = 0;
        (bind_value(*statement_, ++n, values), ...);
        return *this;
    }
    void send() { statement_->send(); }
    /// How many rows a change reached.
    [[nodiscard]] int changes() const { return statement_->changes(); }

 private:
    PreparedStatement* statement_;
    std::unique_ptr<PreparedStatement> own_;
    bool* busy_ = nullptr;
};

/// How a file is opened.
enum class FileMode {
    read_alone,  ///< by an address of SQLite ("file:..."), to read
    write,       ///< to read and record
    make         ///< as `write`; made if it is not there
};

class Db {
 public:
    /// A file; "" or ":memory:" is a database of this connection alone.
    Db(const std::filesystem::path& path, FileMode mode);
    explicit Db(std::unique_ptr<Engine> engine);
    /// A copy of `from` that is never written to a file.
    static std::unique_ptr<Db> copy_in_memory(Db& from);
    Db(const Db&) = delete;
    Db& operator=(const Db&) = delete;

    /// Asks a question. The statement is kept for the next time under the address of `sql`. Precondition: `sql` is a
    /// literal, or lives as long as the connection. A question that is asked again while its answer is being read is
    /// prepared once more.
    template <class... T>
    Answer ask(const char* sql, const T&... values) {
        auto out = kept(sql);
        out.with(values...);
        return out;
    }
    /// Asks a question whose SQL is built for this one call.
    template <class... T>
    Answer ask_once(std::string_view sql, const T&... values) {
        Answer out(engine_->prepare(sql));
        out.with(values...);
        return out;
    }
    /// As ask, where the answer may have many rows.
    template <class... T>
    Answer walk(const char* sql, const T&... values) {
        if (!on_server()) return ask(sql, values...);
        Answer out(engine_->prepare_long(sql));
        out.with(values...);
        return out;
    }
    template <class... T>
    Answer walk_once(std::string_view sql, const T&... values) {
        Answer out(engine_->prepare_long(sql));
        out.with(values...);
        return out;
    }
    /// Changes rows; returns how many.
    template <class... T>
    int run(const char* sql, const T&... values) {
        auto out = kept(sql);
        out.with(values...).next();
        return out.changes();
    }
    /// Changes rows at the latest with the next question: on a server it needs no journey of its own.
    template <class... T>
    void send(const char* sql, const T&... values) {
        kept(sql).with(values...).send();
    }
    /// The first column of the first row; empty if there is no row, or NULL in it.
    template <class... T>
    std::optional<std::int64_t> integer(const char* sql, const T&... values) {
        auto out = ask(sql, values...);
        return out.next() && !out.is_null(0) ? std::optional(out.integer(0)) : std::nullopt;
    }
    template <class... T>
    std::optional<std::string> text(const char* sql, const T&... values) {
        auto out = ask(sql, values...);
        return out.next() && !out.is_null(0) ? std::optional(out.text(0)) : std::nullopt;
    }
    template <class... T>
    std::optional<Digest> digest(const char* sql, const T&... values) {
        auto out = ask(sql, values...);
        return out.next() ? std::optional(out.digest(0)) : std::nullopt;
    }
    /// The first column of all rows.
    template <class... T>
    std::vector<std::int64_t> integers(const char* sql, const T&... values) {
        std::vector<std::int64_t> out;
        for (auto rows = ask(sql, values...); rows.next();) out.push_back(rows.integer(0));
        return out;
    }
    /// Whether there is a row.
    template <class... T>
    bool any(const char* sql, const T&... values) {
        return ask(sql, values...).next();
    }
    /// Runs statements without values, one after another: a migration, a setting.
    void script(const std::string& sql) { engine_->script(sql); }

    void begin() { engine_->begin(); }
    /// Takes the write lock, or the locks of a part, and waits for them.
    void begin_recording(const Hold& hold = {}) { engine_->begin_recording(hold); }
    void commit() { engine_->commit(); }
    void roll_back() { engine_->roll_back(); }
    [[nodiscard]] bool in_transaction() const { return engine_->in_transaction(); }

    LockPatience& patience() { return engine_->patience; }
    /// Whether to wait for a lock that another program has; true at first.
    void wait_for_others(bool wait) { engine_->wait_for_others(wait); }
    /// A number that changes when another program has recorded something; on a server when it held the whole book, as
    /// all do that change the register, the trust in books, or what they say of themselves.
    std::int64_t data_version() { return engine_->data_version(); }
    /// A number that changes when another program has recorded anything.
    std::int64_t recorded_mark() { return engine_->recorded_mark(); }

    [[nodiscard]] bool on_server() const { return engine_->on_server(); }
    /// How much of the database to keep in memory, in KiB: for the work that comes next.
    void give_cache(int kibibytes) { engine_->give_cache(kibibytes); }

    Engine& engine() { return *engine_; }

 private:
    struct Kept {
        std::unique_ptr<PreparedStatement> statement;
        bool busy = false;
    };
    Answer kept(const char* sql);

    std::unique_ptr<Engine> engine_;
    std::unordered_map<const char*, Kept> kept_;
};

/// Turns an error of the engine into a StorageError that a person can read. `patience`: of the connection that failed.
[[noreturn]] void rethrow_as_storage_error(const DbError& e, const std::filesystem::path& path, bool writing,
                                           const LockPatience* patience = nullptr);

}  // namespace tarebook
