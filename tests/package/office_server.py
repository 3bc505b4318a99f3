"""A server of the test's own as an office has one: PostgreSQL over TCP and TLS, on this machine's loopback alone.

    with office_server.OfficeServer() as server:
        server.address("one")     # postgresql://office@127.0.0.1:PORT/one?sslmode=require"""
import os
import shutil
import socket
import subprocess
import sys
import tempfile

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "support"))
import postgres_server


class OfficeServer(postgres_server.Server):
    def __init__(self):
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        os.environ["PGPORT"] = str(self.port)  # for what Server asks
        self.proof = tempfile.mkdtemp(prefix="tarebook-office-")
        subprocess.run(["openssl", "req", "-new", "-x509", "-nodes", "-days", "2", "-subj", "/CN=office", "-out", self.proof + "/cert",
                        "-keyout", self.proof + "/key"], check=True, capture_output=True)
        if os.geteuid() == 0:  # the server takes no key that is another's
            for path in (self.proof, self.proof + "/cert", self.proof + "/key"):
                shutil.chown(path, 65534, 65534)
        super().__init__(["listen_addresses=127.0.0.1", "port=%d" % self.port, "ssl=on", "ssl_cert_file=%s/cert" % self.proof,
                          "ssl_key_file=%s/key" % self.proof])

    def address(self, database):
        return "postgresql://office@127.0.0.1:%d/%s?sslmode=require" % (self.port, database)

    def __exit__(self, *why):
        super().__exit__(*why)
        shutil.rmtree(self.proof)
