// libpq, PostgreSQL's own client library, opened when a book on a server is: a linked library would cost every command
// of a file at its start. Bare libpq and not libpqxx: a function table over C names can be opened so, answers are read
// in binary without a copy of each field, and what a COMMIT came to is asked of the connection itself.
#pragma once

#include <libpq-fe.h>

namespace tarebook {

/// The functions that are used, by their own names.
struct PqLibrary {
    decltype(::PQconnectStartParams)* PQconnectStartParams;
    decltype(::PQconnectPoll)* PQconnectPoll;
    decltype(::PQsocket)* PQsocket;
    decltype(::PQstatus)* PQstatus;
    decltype(::PQreset)* PQreset;
    decltype(::PQfinish)* PQfinish;
    decltype(::PQerrorMessage)* PQerrorMessage;
    decltype(::PQserverVersion)* PQserverVersion;
    decltype(::PQtransactionStatus)* PQtransactionStatus;
    decltype(::PQsetNoticeProcessor)* PQsetNoticeProcessor;
    decltype(::PQexec)* PQexec;
    decltype(::PQexecParams)* PQexecParams;
    decltype(::PQprepare)* PQprepare;
    decltype(::PQexecPrepared)* PQexecPrepared;
    decltype(::PQsendQueryParams)* PQsendQueryParams;
    decltype(::PQsendQueryPrepared)* PQsendQueryPrepared;
    decltype(::PQenterPipelineMode)* PQenterPipelineMode;
    decltype(::PQexitPipelineMode)* PQexitPipelineMode;
    decltype(::PQpipelineSync)* PQpipelineSync;
    decltype(::PQputCopyData)* PQputCopyData;
    decltype(::PQputCopyEnd)* PQputCopyEnd;
    decltype(::PQgetResult)* PQgetResult;
    decltype(::PQresultStatus)* PQresultStatus;
    decltype(::PQresultErrorField)* PQresultErrorField;
    decltype(::PQclear)* PQclear;
    decltype(::PQntuples)* PQntuples;
    decltype(::PQftype)* PQftype;
    decltype(::PQgetisnull)* PQgetisnull;
    decltype(::PQgetlength)* PQgetlength;
    decltype(::PQgetvalue)* PQgetvalue;
    decltype(::PQcmdTuples)* PQcmdTuples;
    decltype(::PQcmdStatus)* PQcmdStatus;
};

/// Throws StorageError if the machine does not have it.
const PqLibrary& pq_library();

}  // namespace tarebook
