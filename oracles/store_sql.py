#!/usr/bin/env python3
"""The store's own SQL on PostgreSQL: the same jobs, versions, evidence and photos as SQLite holds, and equal rows read back.

The example `statements` of the store fills a database as its users do and tells every statement that it makes, each with its
values. They are given to a PostgreSQL that is started for this alone (Debian: postgresql) and sorts by language, values apart
from the text, in the binary form of BIGINT, TEXT and BYTEA; and, filled, to a second SQLite. Every SELECT must give both the
same rows in the same order. SQLite's own words are PRAGMA, `sqlite_master` and the kinds of BEGIN, and nothing else.
"""
import json
import os
import pathlib
import re
import sqlite3
import subprocess
import sys
import tempfile

import harness
import postgres

HERE = pathlib.Path(__file__).resolve().parent
STORE = HERE.parent / "crates/store/src"
STATEMENTS = os.environ.get("LOOPWRIGHT_STATEMENTS", str(harness.BINARY.parent / "examples/statements"))
TABLES = {"job": "id", "job_text": "job", "job_version": "job, version", "evidence": "job, place", "photo": "job, place"}
ADDED_TO_ONLY = ["job_version", "evidence", "photo"]
KIND = {str: postgres.TEXT, int: postgres.BIGINT, bytes: postgres.BYTEA}
LITERAL = re.compile(r"'((?:[^']|'')*)'|[xX]'([0-9a-fA-F]*)'|(-?[0-9]+)", re.S)


def told(folder):
    """What the store says to SQLite: pairs of a statement and the same with its values; and the file that it filled."""
    path = pathlib.Path(folder, "jobs.db")
    done = subprocess.run([STATEMENTS, path], capture_output=True, timeout=120)
    if done.returncode != 0:
        sys.exit(f"{done.stderr.decode('utf-8', 'replace')[-2000:]}\nthe example `statements` of the store failed\n0 passed, 1 failed")
    lines = [json.loads(line) for line in done.stdout.decode().split("\n") if line]
    return [(line["sql"].strip(), line["filled"].strip()) for line in lines], path


def values(sql, filled):
    """The values by number, read off the filled statement; none where the two do not fit."""
    pieces = re.split(r"\$([0-9]+)", sql)
    found, at = {}, len(pieces[0])
    if filled[:at] != pieces[0]:
        return None
    for number, piece in zip(pieces[1::2], pieces[2::2]):
        literal = LITERAL.match(filled, at)
        if not literal:
            return None
        text, octets, digits = literal.groups()
        value = text.replace("''", "'") if text is not None else bytes.fromhex(octets) if octets is not None else int(digits)
        at = literal.end() + len(piece)
        if filled[literal.end():at] != piece or found.setdefault(int(number), value) != value:
            return None
    # A driver that counts places and one that reads names agree only where they first stand in order.
    return list(found.values()) if at == len(filled) and list(found) == list(range(1, len(found) + 1)) else None


def written():
    """The statements that stand in the store's sources, as patterns: none may be left untried."""
    found = {}
    for file in sorted(STORE.glob("**/*.rs")):
        source = file.read_text().split("#[cfg(test)]")[0]
        for text in re.findall(r'"((?:SELECT|INSERT|UPDATE|DELETE|CREATE|DROP|ALTER)\b(?:[^"\\]|\\.)*)"', source, re.S):
            text = re.sub(r"\\\n\s*", "", text).replace("\\\\", "\\")
            found[file.name, text] = re.compile(".*".join(re.escape(part) for part in re.split(r"\{[^}]*\}", text)), re.S)
    return found


def replay(tally, statements, server, twin):
    """Every statement to both. Returns how many of each sort there were."""
    counts = {"written": 0, "read": 0, "rows": 0, "SQLite's own": 0}
    for sql, filled in statements:
        first = re.sub(r"^(--[^\n]*\n\s*)+", "", sql).split(None, 1)[0].upper().rstrip(";")
        if first in ("BEGIN", "COMMIT", "ROLLBACK"):
            server.script(first)
            twin.execute(first)
        elif first == "PRAGMA" or "sqlite_master" in sql:
            counts["SQLite's own"] += 1
        elif first == "CREATE":
            twin.execute(filled)   # PostgreSQL has taken the migrations as they lie in the sources
        else:
            given = values(sql, filled)
            if not tally.check(f"values of {sql}", given is not None, filled[:300]):
                continue
            one(tally, server, twin, (first, sql, filled, given), counts)
    return counts


def one(tally, server, twin, statement, counts):
    first, sql, filled, given = statement
    before = twin.total_changes
    wanted = [tuple(row) for row in twin.execute(filled).fetchall()]
    touched = twin.total_changes - before
    try:
        _, takes, gives = server.prepare(sql)
        fits = takes == [KIND[type(value)] for value in given] and all(kind in KIND.values() for kind in gives)
        tally.check(f"types of {sql}", fits, f"takes {takes}, gives {gives}")
        got = server.run(sql, given)
    except postgres.Refused as error:
        tally.check(sql, False, error)
        server.script("ROLLBACK; BEGIN")
        return
    if first == "SELECT":
        counts["read"] += 1
        counts["rows"] += len(got)
        tally.check(sql, got == wanted, f"{given}: got {str(got)[:300]}, want {str(wanted)[:300]}")
    else:
        counts["written"] += 1
        tally.check(f"append only: {sql}", first == "INSERT" or re.match(r"UPDATE (job|job_text) ", sql), "what was observed is added to, never changed")
        tally.check(f"rows of {sql}", server.touched == touched, f"{given}: {server.touched} rows, and {touched}")


def whole(tally, server, path):
    """Read back at the end: every table as the store's own file has it."""
    kept = sqlite3.connect(f"file:{path}?mode=ro", uri=True)
    for table, key in TABLES.items():
        columns = [row[1] for row in kept.execute(f"PRAGMA table_info({table})")]
        asked = f"SELECT {', '.join(columns)} FROM {table}"
        want = sorted(kept.execute(asked).fetchall())
        got = sorted(server.run(asked))
        tally.check(f"all of {table}, {len(want)} rows", got == want and want, f"{len(got)} rows")
        keys = [row[:len(key.split(", "))] for row in server.run(f"SELECT {key} FROM {table}")]
        tally.check(f"{key} of {table} once", len(set(keys)) == len(keys))
    made = {row[0] for row in kept.execute("SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'")}
    tally.check("every table is looked at", made == set(TABLES), made)
    kept.close()


def refuses(tally, name, server, sql, given, code):
    server.script("BEGIN")
    try:
        server.run(sql, given)
        tally.check(name, False, "it was taken")
    except postgres.Refused as error:
        tally.check(name, error.code == code, error)
    server.script("ROLLBACK")


def laws(tally, server, statements):
    """What holds the store together holds in PostgreSQL too: an id once, nothing of a job that is not there (SQLSTATE 23505, 23503)."""
    for table in TABLES:
        insert = next((sql, filled) for sql, filled in statements if sql.startswith(f"INSERT INTO {table} "))
        given = values(*insert)
        refuses(tally, f"the same {table} twice", server, insert[0], given, "23505")
        if table != "job":
            at = re.findall(r"\w+", re.search(r"\(([^)]*)\)", insert[0]).group(1)).index("job")
            tally.check(f"job stands first in {table}", at == 0)
            refuses(tally, f"{table} of nobody", server, insert[0], ["no-such-job", *given[1:]], "23503")


def two_at_once(tally, cluster, server, statements):
    """Two write the same version at once: one is refused when it comes to the version, and nothing of it is kept."""
    other = cluster.connect()
    sql = {table: next(sql for sql, _ in statements if sql.startswith(words)) for table, words in
           [("job", "UPDATE job SET version"), ("version", "INSERT INTO job_version"), ("kept", "SELECT id, version, changed_at")]}
    before = server.run(sql["kept"], ["yard"])[0]
    version = before[1] + 1

    def head(name):
        return [version, "2026-05-01T00:00:00Z", name, 1, "", "", name, "yard"]

    def change(name):
        return ["yard", version, name, "2026-05-01T00:00:00Z", "A. Person", "", "[]", "", 0, 0, ""]

    server.script("BEGIN")
    other.script("BEGIN")
    other.prepare(sql["job"]), other.prepare(sql["version"])
    server.run(sql["job"], head("mine"))
    waiting = other.begin(sql["job"], head("theirs"))   # waits for the first to end
    server.run(sql["version"], change("mine"))
    server.script("COMMIT")
    other.rows(waiting)
    try:
        other.run(sql["version"], change("theirs"))
        tally.check("two at once: the second is refused", False, "it was taken")
    except postgres.Refused as error:
        tally.check("two at once: the second is refused", error.code == "23505", error)
    other.script("ROLLBACK")
    after = server.run(sql["kept"], ["yard"])[0]
    tally.check("two at once: the first stands", (after[1], after[3]) == (version, "mine"), after)
    other.close()


def main():
    tally = harness.Tally()
    with tempfile.TemporaryDirectory() as folder, postgres.Cluster() as cluster:
        statements, path = told(folder)
        server, twin = cluster.connect(), sqlite3.connect(":memory:", isolation_level=None)
        for file in sorted((STORE / "migrations").glob("*.sql")):
            server.script(file.read_text())
        counts = replay(tally, statements, server, twin)
        for (file, text), pattern in written().items():
            tally.check(f"tried: {text} ({file})", "sqlite_master" in text or any(pattern.fullmatch(sql) for sql, _ in statements))
        whole(tally, server, path)
        laws(tally, server, statements)
        two_at_once(tally, cluster, server, statements)
        server.close()
        twin.close()
    print(", ".join(f"{count} {name}" for name, count in counts.items()), f"in {postgres.programs().parts[-2]}")
    return tally.finish()


sys.exit(main())
