"""A second implementation of DC-09 for the oracles, after the collected rules and not after our code: frames, checksum
bit by bit, AES through `cryptography`, Contact ID and two-letter data as strings."""
import json
import os
import random
import re
import socket
import subprocess
import time
from datetime import datetime, timedelta, timezone

from cryptography.hazmat.backends import default_backend
from cryptography.hazmat.primitives.ciphers import Cipher, algorithms, modes

from harness import BINARY

LF, CR = b"\n", b"\r"
_TABLE = []
for _byte in range(256):
    _value = _byte
    for _ in range(8):
        _value = (_value >> 1) ^ 0xA001 if _value & 1 else _value >> 1
    _TABLE.append(_value)


def crc(octets):
    """x^16 + x^15 + x^2 + 1, reflected, start 0, no final xor."""
    value = 0
    for octet in octets:
        value = (value >> 8) ^ _TABLE[(value ^ octet) & 0xFF]
    return value


assert crc(b"123456789") == 0xBB3D


def framed(content):
    return LF + b"%04X%04X" % (crc(content), len(content)) + content + CR


def stamp(when):
    return when.strftime("_%H:%M:%S,%m-%d-%Y").encode()


def aes(key, octets, encrypt):
    cipher = Cipher(algorithms.AES(key), modes.CBC(bytes(16)), default_backend())
    run = cipher.encryptor() if encrypt else cipher.decryptor()
    return run.update(octets) + run.finalize()


def message(ident, seq, acct, data, key=None, when=None, rcvr=None, pref="0", xdata=b"", rng=random):
    """A frame; encrypted where there is a key."""
    star = "*" if key else ""
    receiver = f"R{rcvr}" if rcvr is not None else ""
    head = f'"{star}{ident}"{seq}{receiver}L{pref}#{acct}['.encode()
    rest = data + b"]" + xdata + (stamp(when) if when else b"")
    if not key:
        return framed(head + rest)
    rest = b"|" + rest
    pads = 16 - len(rest) % 16
    good = [octet for octet in range(256) if octet not in b"|[]"]
    pad = bytes(rng.choice(good) for _ in range(pads))
    return framed(head + aes(key, pad + rest, True).hex().upper().encode())


HEADER = re.compile(rb'"(\*?)([^"*]+)"(\d{4})(?:R([0-9A-F]{1,6}))?L([0-9A-F]{0,6})[#A]([0-9A-F]{1,16})\[(.*)\Z', re.S)
NAK = re.compile(rb'"NAK"0000R0L0A0\[\]_(\d\d:\d\d:\d\d,\d\d-\d\d-\d{4})\Z')


class Wrong(Exception):
    """A frame that is not as the rules have it."""


def content_of(frame):
    if frame[:1] != LF or frame[-1:] != CR:
        raise Wrong("no LF or CR")
    said_crc, said_length, content = frame[1:5], frame[5:9], frame[9:-1]
    if said_length != b"%04X" % len(content):
        raise Wrong(f"length {said_length} for {len(content)}")
    if said_crc != b"%04X" % crc(content):
        raise Wrong(f"checksum {said_crc}")
    return content


def read(frame, key=None):
    """The fields of a frame, decrypted where it is encrypted."""
    content = content_of(frame)
    if NAK.match(content):
        return {"id": "NAK", "timestamp": NAK.match(content).group(1).decode()}
    found = HEADER.match(content)
    if not found:
        raise Wrong(f"header {content[:40]!r}")
    star, ident, seq, rcvr, pref, acct, rest = found.groups()
    fields = {"id": ident.decode(), "encrypted": bool(star), "seq": seq.decode(), "pref": pref.decode(),
              "acct": acct.decode(), "rcvr": rcvr.decode() if rcvr is not None else None}
    if star:
        if not re.fullmatch(rb"([0-9A-F]{32})+", rest):
            raise Wrong("cipher text is no whole number of blocks in upper-case hex")
        clear = aes(key, bytes.fromhex(rest.decode()), False)
        pad, bar, rest = clear.partition(b"|")
        if not bar or not 1 <= len(pad) <= 16 or set(pad) & set(b"[]"):
            raise Wrong(f"pad {pad!r}")
    data, bracket, behind = rest.partition(b"]")
    if not bracket:
        raise Wrong("no closing bracket")
    fields["data"] = data.decode("cp1252")
    time_of = re.search(rb"_(\d\d:\d\d:\d\d,\d\d-\d\d-\d{4})\Z", behind)
    fields["timestamp"] = time_of.group(1).decode() if time_of else None
    if star and not time_of:
        raise Wrong("encrypted and without a time")
    return fields


def now():
    return datetime.now(timezone.utc).replace(microsecond=0)


def parse_stamp(text):
    return datetime.strptime(text, "%H:%M:%S,%m-%d-%Y").replace(tzinfo=timezone.utc)


def near_now(text, seconds=30):
    return abs(parse_stamp(text) - now()) < timedelta(seconds=seconds)


class Receiver:
    """The program's `receive --json`, its lines in a file."""

    def __init__(self, folder, *words, listen="127.0.0.1:0", quiet=False):
        self.path = os.path.join(folder, f"receive-{random.randrange(10**9)}.jsonl")
        self.out = open(os.devnull if quiet else self.path, "wb")
        command = [str(BINARY), "receive", "--json", "--listen", listen, *words]
        self.process = subprocess.Popen(command, stdout=self.out, stderr=subprocess.PIPE, text=True)
        self.talk = []
        for line in self.process.stderr:
            self.talk.append(line)
            found = re.search(r"listening on (.*):(\d+), TCP and UDP", line)
            if found:
                self.host, self.port = found.group(1).strip("[]"), int(found.group(2))
                return
        raise RuntimeError("".join(self.talk))

    def lines(self, wanted, patience=60):
        """The lines so far, once there are so many."""
        until = time.monotonic() + patience
        while time.monotonic() < until:
            with open(self.path, encoding="utf-8") as file:
                lines = file.read().split("\n")[:-1]
            if len(lines) >= wanted:
                break
            time.sleep(0.05)
        return [json.loads(line) for line in lines]

    def tcp(self, timeout=10):
        connection = socket.create_connection((self.host, self.port), timeout=timeout)
        connection.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        return connection

    def udp(self, timeout=10):
        family = socket.AF_INET6 if ":" in self.host else socket.AF_INET
        datagrams = socket.socket(family, socket.SOCK_DGRAM)
        datagrams.settimeout(timeout)
        datagrams.connect((self.host, self.port))
        return datagrams

    def memory_kb(self):
        with open(f"/proc/{self.process.pid}/status", encoding="ascii") as file:
            return int(re.search(r"VmRSS:\s+(\d+)", file.read()).group(1))

    def end(self):
        self.process.kill()
        self.process.wait()
        self.out.close()

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.end()


def frames_from(connection, count):
    """So many frames from a TCP connection."""
    buffer = b""
    frames = []
    while len(frames) < count:
        part = connection.recv(65536)
        if not part:
            raise Wrong(f"closed after {len(frames)} of {count} answers")
        buffer += part
        *whole, buffer = buffer.split(CR)
        frames += [frame + CR for frame in whole]
    return frames
