"""A PostgreSQL of one's own in a scratch folder, and its protocol (version 3, the handbook's chapter 55), as much as is needed.

Nothing of the machine's own databases is touched: a cluster of its own, no network, one socket in a private folder.
"""
import glob
import os
import pathlib
import pwd
import shutil
import socket
import struct
import subprocess
import tempfile
import time

TEXT, BIGINT, BYTEA = 25, 20, 17   # the type numbers of pg_type


def programs():
    """The folder of initdb and postgres, the newest; none where they are not installed."""
    found = [p for p in glob.glob("/usr/lib/postgresql/*/bin/postgres") if os.access(p, os.X_OK)]
    found.sort(key=lambda p: int(pathlib.Path(p).parts[-3]) if pathlib.Path(p).parts[-3].isdigit() else 0)
    beside = shutil.which("postgres")
    return pathlib.Path(found[-1]).parent if found else pathlib.Path(beside).parent if beside else None


def somebody():
    """postgres and initdb refuse root: whom to run them as; nothing where nobody is root."""
    if os.geteuid() != 0:
        return {}
    for name in ["postgres", "nobody"]:
        try:
            user = pwd.getpwnam(name)
            return {"user": user.pw_uid, "group": user.pw_gid, "extra_groups": []}
        except KeyError:
            pass
    raise SystemExit("no user to run PostgreSQL as\n0 passed, 1 failed")


class Cluster:
    """Runs as long as the `with` does."""

    def __enter__(self):
        self.folder = tempfile.mkdtemp(prefix="pg-")
        who = somebody()
        if who:
            os.chown(self.folder, who["user"], who["group"])
        data, quiet = os.path.join(self.folder, "data"), {"stdout": subprocess.DEVNULL, "cwd": self.folder, **who}
        # As an office has it: sorted by language, not by byte.
        made = subprocess.run([programs() / "initdb", "-D", data, "-U", "postgres", "-A", "trust", "--no-sync", "--encoding=UTF8",
                               "--locale=C", "--locale-provider=icu", "--icu-locale=en-US"], stderr=subprocess.PIPE, **quiet)
        if made.returncode != 0:
            shutil.rmtree(self.folder, ignore_errors=True)
            raise SystemExit(made.stderr.decode("utf-8", "replace") + "\ninitdb failed\n0 passed, 1 failed")
        self.log = open(os.path.join(self.folder, "log"), "w+b")
        self.server = subprocess.Popen([programs() / "postgres", "-D", data, "-k", self.folder, "-c", "listen_addresses=", "-c", "fsync=off"],
                                       stderr=self.log, **quiet)
        return self

    def connect(self):
        end = time.monotonic() + 30
        while True:
            try:
                return Connection(os.path.join(self.folder, ".s.PGSQL.5432"))
            except (OSError, Refused) as error:
                if time.monotonic() > end or self.server.poll() is not None:
                    self.log.seek(0)
                    raise SystemExit(f"{self.log.read().decode('utf-8', 'replace')[-2000:]}\nPostgreSQL does not start: {error}\n0 passed, 1 failed")
                time.sleep(0.05)

    def __exit__(self, *_):
        self.server.send_signal(2)   # ends at once, in order
        try:
            self.server.wait(20)
        except subprocess.TimeoutExpired:
            self.server.kill()
            self.server.wait()
        self.log.close()
        shutil.rmtree(self.folder, ignore_errors=True)


class Refused(Exception):
    """What the database says no to; `code` is its SQLSTATE."""

    def __init__(self, fields):
        self.code = fields.get("C", "")
        super().__init__(f"{self.code} {fields.get('M', '')}")


class Connection:
    """Statements with values apart from the text, whose types the database finds out by itself, as a driver has it."""

    def __init__(self, path):
        self.socket = socket.socket(socket.AF_UNIX, socket.SOCK_STREAM)
        self.socket.settimeout(30)
        self.socket.connect(path)
        self.stream = self.socket.makefile("rb")
        self.prepared, self.touched = {}, 0
        words = b"".join(word.encode() + b"\0" for word in ["user", "postgres", "database", "postgres", "client_encoding", "UTF8"]) + b"\0"
        self.socket.sendall(struct.pack(">ii", 8 + len(words), 196608) + words)
        self.answers()

    def close(self):
        self.stream.close()
        self.socket.close()

    def send(self, *messages):
        self.socket.sendall(b"".join(kind + struct.pack(">i", 4 + len(body)) + body for kind, body in messages))

    def answers(self):
        """Messages until the database waits for more."""
        got, error = [], None
        while True:
            kind, length = self.stream.read(1), struct.unpack(">i", self.stream.read(4))[0]
            body = self.stream.read(length - 4)
            if kind == b"E":
                error = error or Refused({part[:1].decode(): part[1:].decode("utf-8", "replace") for part in body.split(b"\0") if part})
            elif kind == b"Z":
                if error:
                    raise error
                return got
            else:
                got.append((kind, body))

    def script(self, text):
        """Statements without values."""
        self.send((b"Q", text.encode() + b"\0"))
        self.answers()

    def prepare(self, sql):
        """The name under which it is kept, and what types of values the database expects and gives."""
        if sql not in self.prepared:
            name = b"s%d\0" % len(self.prepared)
            self.send((b"P", name + sql.encode() + b"\0" + struct.pack(">h", 0)), (b"D", b"S" + name), (b"S", b""))
            takes, gives = [], []
            for kind, body in self.answers():
                if kind == b"t":
                    takes = list(struct.unpack(f">{struct.unpack('>h', body[:2])[0]}i", body[2:]))
                if kind == b"T":
                    gives = columns(body)
            self.prepared[sql] = name, takes, gives
        return self.prepared[sql]

    def begin(self, sql, values):
        """Sends a statement and does not wait for its answer: `rows` does."""
        name, takes, gives = self.prepare(sql)
        told = [octets(value) for value in values]
        body = b"\0" + name + struct.pack(f">h{len(told)}hh", len(told), *[1] * len(told), len(told))
        body += b"".join(struct.pack(">i", len(one)) + one for one in told) + struct.pack(">hh", 1, 1)
        self.send((b"B", body), (b"E", b"\0" + struct.pack(">i", 0)), (b"S", b""))
        return gives

    def rows(self, gives):
        found = []
        for kind, body in self.answers():
            if kind == b"D":
                found.append(row(body, gives))
            if kind == b"C":
                self.touched = int(body[:-1].split()[-1])   # as `UPDATE 1`
        return found

    def run(self, sql, values=()):
        return self.rows(self.begin(sql, values))


def octets(value):
    """In the binary form of its own type: a number where a text is wanted is not put right by anybody."""
    if isinstance(value, int):
        return struct.pack(">q", value)
    return value if isinstance(value, bytes) else value.encode()


def columns(body):
    count, at, types = struct.unpack(">h", body[:2])[0], 2, []
    for _ in range(count):
        at = body.index(b"\0", at) + 1
        types.append(struct.unpack(">i", body[at + 6:at + 10])[0])
        at += 18
    return types


def row(body, types):
    at, cells = 2, []
    for kind in types:
        length = struct.unpack(">i", body[at:at + 4])[0]
        at += 4
        if length < 0:
            cells.append(None)
            continue
        cell, at = body[at:at + length], at + length
        cells.append(struct.unpack(">q", cell)[0] if kind == BIGINT else cell if kind == BYTEA else cell.decode())
    return tuple(cells)
