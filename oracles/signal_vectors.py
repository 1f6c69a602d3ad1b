"""Every message vector against `receive`, over TCP and UDP, IPv4 and IPv6: reply octets, and the fields in JSON.

Outside source: the vectors of the collected DC-09 rules, made by a generator that shares no code with us and
cross-checked by a second decoder. A vector that is not sure may come out in any way that its line accepts."""
import json
import pathlib
import socket
import sys
import tempfile

from harness import ROOT, Tally
from signal_second import Receiver, Wrong, framed, frames_from, read

VECTORS = ROOT / "crates/signal/tests/dc09-vectors.jsonl"
# A message that is always answered: what comes before its answer belongs to the vector.
PROBE = framed(b'"NULL"0000L0#FFFF[]')


def ask(receiver, transport, wire):
    """The replies to some octets, by asking the probe behind them."""
    if transport == "tcp":
        with receiver.tcp() as connection:
            connection.sendall(wire + PROBE)
            replies = []
            while not replies or b"#FFFF[" not in replies[-1]:
                replies += frames_from(connection, 1)
            return replies[:-1]
    with receiver.udp(timeout=0.3) as datagrams:
        datagrams.send(wire)
        try:
            return [datagrams.recv(65536)]
        except (socket.timeout, TimeoutError):
            return []


def same_reply(tally, name, expected, reply, key):
    if expected is None:
        return
    if "wire_hex" in expected:
        tally.check(f"{name}: reply", reply.hex() == expected["wire_hex"], f"{reply!r}")
        return
    try:
        got = read(reply, key)
    except Wrong as wrong:
        tally.check(f"{name}: reply", False, f"{wrong}: {reply!r}")
        return
    for field, value in expected.items():
        tally.check(f"{name}: {field} of the reply", got.get(field) == value, f"{got.get(field)!r}, want {value!r}")


def same_fields(tally, name, expected, line):
    if not expected:
        return
    for field in ("id", "encrypted", "seq", "rcvr", "pref", "acct", "timestamp", "data", "xdata", "cid"):
        if field in expected:
            tally.check(f"{name}: {field}", line[field] == expected[field], f"{line[field]!r}, want {expected[field]!r}")
    if "sia" in expected:
        known = ("func", "mods", "code", "addr", "text")
        events = [{field: event[field] for field in known} for event in line["events"]]
        tally.check(f"{name}: events", events == expected["sia"]["events"], f"{events}")


def one(tally, folder, vector, transport, listen):
    name = f"{vector['name']} over {transport} on {listen}"
    words = ["--clock", vector["now"]]
    key = None
    if vector["key_hex"]:
        path = pathlib.Path(folder) / "key.txt"
        path.write_text(vector["key_hex"] + "\n", encoding="ascii")
        words += ["--key", str(path)]
        key = bytes.fromhex(vector["key_hex"])
    expect = vector["expect"]
    with Receiver(folder, *words, listen=listen) as receiver:
        replies = ask(receiver, transport, bytes.fromhex(vector["wire_hex"]))
        lines = receiver.lines(1)
    if "frames" in expect:
        frames = expect["frames"]
        tally.check(f"{name}: replies", len(replies) == len(frames), f"{replies}")
        for frame, reply, line in zip(frames, replies, lines):
            tally.check(f"{name}: outcome", line["outcome"] == frame["outcome"], line["outcome"])
            tally.check(f"{name}: duplicate", line["duplicate"] == frame["duplicate"])
            same_reply(tally, name, frame["reply"], reply, key)
            same_fields(tally, name, frame["fields"], line)
        return
    line = lines[0]
    outcome = line["outcome"]
    tally.check(f"{name}: outcome", outcome in vector["acceptable"], f"{outcome}: {line['words']}")
    tally.check(f"{name}: transport", line["transport"] == transport)
    tally.check(f"{name}: answered", bool(replies) == (outcome in ("ack", "nak", "duh")), f"{outcome}, {replies}")
    if outcome == expect["outcome"]:
        if replies:
            same_reply(tally, name, expect["reply"], replies[0], key)
        same_fields(tally, name, expect["fields"], line)


def main():
    tally = Tally()
    vectors = [json.loads(line) for line in VECTORS.read_text(encoding="utf-8").splitlines()]
    sure = 0
    with tempfile.TemporaryDirectory() as folder:
        for vector in vectors:
            sure += vector["sure"]
            transports = ("tcp", "udp") if vector["transport"] == "any" else (vector["transport"],)
            for transport in transports:
                one(tally, folder, vector, transport, "127.0.0.1:0")
        if socket.has_ipv6:
            for vector in vectors[:3]:
                for transport in ("tcp", "udp"):
                    one(tally, folder, vector, transport, "[::1]:0")
    print(f"{len(vectors)} vectors, {sure} of them sure")
    return tally.finish()


if __name__ == "__main__":
    sys.exit(main())
