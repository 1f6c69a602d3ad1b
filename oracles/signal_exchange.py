"""A second implementation exchanges messages with the program, both ways: 100,000 that it sends to `receive`, and
100,000 that `send` plays to it, over TCP and UDP, clear and encrypted with keys of 128, 192 and 256 bits.

Outside source: `cryptography`'s AES, a checksum written bit by bit, and the collected DC-09 rules."""
import argparse
import pathlib
import random
import socket
import subprocess
import sys
import tempfile
import threading

from harness import BINARY, Tally
from signal_second import CR, Receiver, Wrong, frames_from, framed, message, near_now, now, read, stamp

KEYS = {bits: bytes((bits + 7 * at) % 256 for at in range(bits // 8)) for bits in (128, 192, 256)}
BATCH = 50


def made(rng, number, key):
    """One message and the fields that must be read out of it."""
    acct = "".join(rng.choice("0123456789ABCDEF") for _ in range(rng.randint(3, 16)))
    seq = f"{number % 9999 + 1:04d}"
    rcvr = rng.choice([None, "1", "579BDF"])
    pref = rng.choice(["0", "12", "789ABC"])
    when = now() if key or rng.random() < 0.5 else None
    kind = rng.random()
    want = {"seq": seq, "acct": acct, "rcvr": rcvr, "pref": pref, "encrypted": bool(key), "outcome": "ack"}
    xdata = []
    if rng.random() < 0.3:
        xdata.append(("I", rng.choice(["Hall", "Réserve n° 4", "2nd floor, west"])))
    if kind < 0.5:
        q, code, group, zone = rng.choice("136"), f"{rng.randint(100, 999)}", f"{rng.randint(0, 99):02d}", f"{rng.randint(0, 999):03d}"
        ident, data = "ADM-CID", f"#{acct}|{q}{code} {group} {zone}"
        want["cid"] = {"acct": acct, "q": int(q), "code": code, "group": group, "zone": zone}
    elif kind < 0.9:
        events = []
        text = rng.choice([None, "REAR DOOR", "lid / switch"])
        area, code, addr = str(rng.randint(1, 8)), rng.choice(["BA", "FA", "TR", "OP"]), str(rng.randint(1, 999))
        events.append({"func": "N", "mods": {"ri": area}, "code": code, "addr": addr, "value": None, "text": text})
        data = f"#{acct}|Nri{area}/{code}{addr}" + (f"^{text}^" if text else "")
        ident = "SIA-DCS"
        want["events"] = events
    else:
        ident, data, seq = "NULL", "", "0000"
        want["seq"] = seq
    want.update(id=ident, data=data, timestamp=stamp(when)[1:].decode() if when else None,
                xdata=[{"id": letter, "value": value} for letter, value in xdata])
    fields = b"".join(b"[" + letter.encode() + value.encode("cp1252") + b"]" for letter, value in xdata)
    frame = message(ident, seq, acct, data.encode("cp1252"), key, when, rcvr, pref, fields, rng)
    return frame, want


def same_answer(tally, want, frame, key):
    try:
        got = read(frame, key)
    except Wrong as wrong:
        return tally.check("answer", False, f"{wrong}: {frame!r}")
    pairs = [(got.get(field), want[field]) for field in ("seq", "acct", "rcvr", "pref", "encrypted")]
    good = got["id"] == "ACK" and all(mine == theirs for mine, theirs in pairs)
    good = good and (not want["encrypted"] or near_now(got["timestamp"]))
    return tally.check("answer", good, f"{got}, want {want}")


def to_receive(tally, folder, count, seed):
    """The second implementation sends."""
    rng = random.Random(seed)
    per = -(-count // (8 * BATCH)) * BATCH
    for bits in (None, 128, 192, 256):
        key = KEYS.get(bits)
        words = []
        if key:
            path = pathlib.Path(folder) / f"key{bits}"
            path.write_text(key.hex(), encoding="ascii")
            words = ["--key", str(path)]
        with Receiver(folder, *words) as receiver:
            wants = []
            with receiver.tcp(60) as connection:
                for _ in range(per // BATCH):
                    batch = [made(rng, len(wants) + at, key) for at in range(BATCH)]
                    connection.sendall(b"".join(frame for frame, _ in batch))
                    for (_, want), answer in zip(batch, frames_from(connection, BATCH)):
                        same_answer(tally, want, answer, key)
                    wants += [want for _, want in batch]
            with receiver.udp(60) as datagrams:
                for _ in range(per // BATCH):
                    batch = [made(rng, len(wants) + at, key) for at in range(BATCH)]
                    for frame, _ in batch:
                        datagrams.send(frame)
                    for _, want in batch:
                        same_answer(tally, want, datagrams.recv(4096), key)
                    wants += [want for _, want in batch]
            lines = receiver.lines(len(wants))
        tally.check("as many lines as messages", len(lines) == len(wants), f"{len(lines)} for {len(wants)}")
        for want, line in zip(wants, lines):
            wrong = {field: line[field] for field, value in want.items() if line[field] != value}
            tally.check("fields", not wrong, f"{wrong}, want {want}")


class Station(threading.Thread):
    """Answers `send` as a station would, and keeps what it read."""

    def __init__(self, udp, key):
        super().__init__(daemon=True)
        self.udp, self.key = udp, key
        self.socket = socket.socket(socket.AF_INET, socket.SOCK_DGRAM if udp else socket.SOCK_STREAM)
        self.socket.bind(("127.0.0.1", 0))
        if not udp:
            self.socket.listen()
        self.port = self.socket.getsockname()[1]
        self.got, self.wrong = [], []

    def answer(self, frame):
        try:
            fields = read(frame, self.key)
        except Wrong as wrong:
            self.wrong.append(f"{wrong}: {frame!r}")
            return b""
        self.got.append(fields)
        receiver = f"R{fields['rcvr']}" if fields["rcvr"] is not None else ""
        ident = "*ACK" if fields["encrypted"] else "ACK"
        if fields["encrypted"]:
            return message("ACK", fields["seq"], fields["acct"], b"", self.key, now(), fields["rcvr"], fields["pref"])
        return framed(f'"{ident}"{fields["seq"]}{receiver}L{fields["pref"]}#{fields["acct"]}[]'.encode())

    def run(self):
        if self.udp:
            while True:
                frame, peer = self.socket.recvfrom(65536)
                self.socket.sendto(self.answer(frame), peer)
        connection, _ = self.socket.accept()
        connection.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        buffer = b""
        while part := connection.recv(65536):
            buffer += part
            *whole, buffer = buffer.split(CR)
            for frame in whole:
                connection.sendall(self.answer(frame + CR))


JOB = """format = 1
[station]
account = "4401"
prefix = "12"
format = "{format}"
[[area]]
number = 3
[[module]]
id = "M1"
profile = "input-12"
[[user]]
number = 2
[[circuit]]
tag = "C01"
duty = "intrusion"
input = "M1.1"
network = "wire:10m - nc:a - nc:b - 2.2k"
[[circuit]]
tag = "C02"
duty = "smoke"
input = "M1.12"
zone = 112
network = "wire:10m - smoke:D1 | 2.2k"
"""
# By hand, from the tables: burglary 130 / BA of two contacts, its trouble 370 / BT, smoke 111 / FA, its trouble 373
# / FT, a module lost and found 333 / EM EN, paths 350 / NT NR, user 2 opens and closes 401 / OP CL, a test 602 / RP.
PLAYED = {
    "contact-id": ["1130 03 001", "3130 03 001"] * 2 + ["1111 03 112", "3111 03 112", "1370 03 001", "3370 03 001",
                   "1373 03 112", "3373 03 112", "1333 00 000", "3333 00 000", "1350 00 000", "3350 00 000",
                   "1401 00 002", "3401 00 002", "1602 00 000"],
    "two-letter": ["Nri3/BA1", "Nri3/BR1"] * 2 + ["Nri3/FA112", "Nri3/FR112", "Nri3/BT1", "Nri3/BJ1",
                   "Nri3/FT112", "Nri3/FJ112", "NEM", "NEN", "NNT", "NNR", "NOP2", "NCL2", "NRP"],
}


def from_send(tally, folder, count):
    """The program sends."""
    runs = [(udp, bits, kind) for udp in (False, True) for bits in (None, 128, 192, 256)
            for kind in ("contact-id", "two-letter")]
    for udp, bits, kind in runs:
        played = [f"#4401|{data}" for data in PLAYED[kind]]
        times = -(-count // (len(runs) * len(played)))
        job = pathlib.Path(folder) / "job.toml"
        job.write_text(JOB.format(format=kind), encoding="utf-8")
        key = KEYS.get(bits)
        station = Station(udp, key)
        station.start()
        command = [str(BINARY), "send", str(job), "--to", f"127.0.0.1:{station.port}", "--times", str(times), "--json"]
        if udp:
            command.append("--udp")
        if key:
            path = pathlib.Path(folder) / f"key{bits}"
            path.write_text(key.hex(), encoding="ascii")
            command += ["--key", str(path)]
        run = subprocess.run(command, capture_output=True, text=True, check=False)
        name = f"send {kind} {'udp' if udp else 'tcp'} {bits}"
        tally.check(f"{name}: exit", run.returncode == 0, run.stderr)
        tally.check(f"{name}: frames", not station.wrong, station.wrong[:3])
        want = played * times
        tally.check(f"{name}: number", len(station.got) == len(want), f"{len(station.got)} for {len(want)}")
        for number, (fields, data) in enumerate(zip(station.got, want)):
            good = (fields["data"] == data and fields["seq"] == f"{number % 9999 + 1:04d}" and fields["pref"] == "12"
                    and fields["acct"] == "4401" and fields["encrypted"] == bool(key) and near_now(fields["timestamp"]))
            tally.check(f"{name}: message", good, f"{fields}, want {data}")


def main():
    arguments = argparse.ArgumentParser()
    arguments.add_argument("--count", type=int, default=100_000)
    arguments.add_argument("--seed", type=int, default=9)
    asked = arguments.parse_args()
    tally = Tally()
    with tempfile.TemporaryDirectory() as folder:
        to_receive(tally, folder, asked.count, asked.seed)
        from_send(tally, folder, asked.count)
    return tally.finish()


if __name__ == "__main__":
    sys.exit(main())
