"""Questions of a test to a PostgreSQL server, over one connection that is made anew where it broke: libpq itself, as a
psql for each question costs more than what the question is about."""
import ctypes
import time

pq = ctypes.CDLL("libpq.so.5")
for name, result, values in (("PQconnectdb", ctypes.c_void_p, [ctypes.c_char_p]), ("PQstatus", ctypes.c_int, [ctypes.c_void_p]),
                             ("PQfinish", None, [ctypes.c_void_p]), ("PQexec", ctypes.c_void_p, [ctypes.c_void_p, ctypes.c_char_p]),
                             ("PQerrorMessage", ctypes.c_char_p, [ctypes.c_void_p]), ("PQclear", None, [ctypes.c_void_p]),
                             ("PQresultStatus", ctypes.c_int, [ctypes.c_void_p]), ("PQntuples", ctypes.c_int, [ctypes.c_void_p]),
                             ("PQnfields", ctypes.c_int, [ctypes.c_void_p]),
                             ("PQgetvalue", ctypes.c_char_p, [ctypes.c_void_p, ctypes.c_int, ctypes.c_int])):
    function = getattr(pq, name)
    function.restype, function.argtypes = result, values
IS_DONE = (1, 2)  # PGRES_COMMAND_OK, PGRES_TUPLES_OK


class Failed(Exception):
    """The server refused a question, or does not answer."""


class Asker:
    def __init__(self, address):
        self.address, self.connection = address, None

    def ask(self, sql):
        """The rows, each a tuple of texts. What only reads is asked again where the connection broke: the server may be
        about to end all connections, and to recover."""
        for _ in range(100):
            try:
                return self.asked(sql)
            except Failed:
                if pq.PQstatus(self.connection) == 0 or not sql.startswith("SELECT"):
                    raise
                time.sleep(0.05)
        return self.asked(sql)

    def asked(self, sql):
        if self.connection and pq.PQstatus(self.connection) != 0:
            self.close()
        if not self.connection:
            self.connection = pq.PQconnectdb((self.address + "&options=-c%20client_min_messages%3Derror").encode())
        answer = pq.PQexec(self.connection, sql.encode())
        try:
            if not answer or pq.PQresultStatus(answer) not in IS_DONE:
                raise Failed("%s: %s" % (sql, pq.PQerrorMessage(self.connection).decode()))
            return [tuple(pq.PQgetvalue(answer, row, column).decode() for column in range(pq.PQnfields(answer)))
                    for row in range(pq.PQntuples(answer))]
        finally:
            pq.PQclear(answer)

    def close(self):
        if self.connection:
            pq.PQfinish(self.connection)
        self.connection = None
