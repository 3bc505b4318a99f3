#include "pq_library.hpp"

#include <dlfcn.h>
#include <fmt/format.h>

#include "tarebook/units/error.hpp"

namespace tarebook {
namespace {

class OpenedPq {
 public:
    OpenedPq() : handle_(dlopen(TAREBOOK_LIBPQ, RTLD_NOW | RTLD_LOCAL)) { refuse_unless(handle_); }
    template <class Function>
    void find(Function*& function, const char* name) const {
        auto* found = dlsym(handle_, name);
        refuse_unless(found);
        function = reinterpret_cast<Function*>(found);
    }

 private:
    static void refuse_unless(const void* found) {
        if (!found)
            throw StorageError(
                fmt::format("this machine lacks the library that talks to a PostgreSQL server: {}", dlerror()),
                "install " TAREBOOK_LIBPQ ", version 14 or later (Debian: libpq5)");
    }
    void* handle_;  // stays open until the process ends
};

PqLibrary open_pq_library() {
    const OpenedPq opened;
    PqLibrary out{};
    opened.find(out.PQconnectStartParams, "PQconnectStartParams");
    opened.find(out.PQconnectPoll, "PQconnectPoll");
    opened.find(out.PQsocket, "PQsocket");
    opened.find(out.PQstatus, "PQstatus");
    opened.find(out.PQreset, "PQreset");
    opened.find(out.PQfinish, "PQfinish");
    opened.find(out.PQerrorMessage, "PQerrorMessage");
    opened.find(out.PQserverVersion, "PQserverVersion");
    opened.find(out.PQtransactionStatus, "PQtransactionStatus");
    opened.find(out.PQsetNoticeProcessor, "PQsetNoticeProcessor");
    opened.find(out.PQexec, "PQexec");
    opened.find(out.PQexecParams, "PQexecParams");
    opened.find(out.PQprepare, "PQprepare");
    opened.find(out.PQexecPrepared, "PQexecPrepared");
    opened.find(out.PQsendQueryParams, "PQsendQueryParams");
    opened.find(out.PQsendQueryPrepared, "PQsendQueryPrepared");
    opened.find(out.PQenterPipelineMode, "PQenterPipelineMode");
    opened.find(out.PQexitPipelineMode, "PQexitPipelineMode");
    opened.find(out.PQpipelineSync, "PQpipelineSync");
    opened.find(out.PQputCopyData, "PQputCopyData");
    opened.find(out.PQputCopyEnd, "PQputCopyEnd");
    opened.find(out.PQgetResult, "PQgetResult");
    opened.find(out.PQresultStatus, "PQresultStatus");
    opened.find(out.PQresultErrorField, "PQresultErrorField");
    opened.find(out.PQclear, "PQclear");
    opened.find(out.PQntuples, "PQntuples");
    opened.find(out.PQftype, "PQftype");
    opened.find(out.PQgetisnull, "PQgetisnull");
    opened.find(out.PQgetlength, "PQgetlength");
    opened.find(out.PQgetvalue, "PQgetvalue");
    opened.find(out.PQcmdTuples, "PQcmdTuples");
    opened.find(out.PQcmdStatus, "PQcmdStatus");
    return out;
}

}  // namespace

const PqLibrary& pq_library() {
    static const PqLibrary library = open_pq_library();
    return library;
}

}  // namespace tarebook
