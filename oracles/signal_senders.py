"""Slow, broken, flooding, deaf and half-open senders: `receive` keeps answering the others, in little memory.

Outside source: the waiting time of an honest sender, measured here; limits with much room for a busy machine."""
import random
import resource
import socket
import sys
import tempfile
import threading
import time

from harness import Tally
from signal_second import Receiver, Wrong, frames_from, framed, message, read

# Nobody may wait longer than this beside the worst senders; on a machine with nothing else to do it is milliseconds.
PATIENCE_S = 3.0
UDP_TRIES = 30
IDLE = 10_000
IDLE_MB = 100


def ask_tcp(receiver, frame):
    with receiver.tcp() as connection:
        connection.sendall(frame)
        return frames_from(connection, 1)[0]


def ask_udp(receiver, frame):
    """A datagram may be lost where others flood the same port; a sender repeats it, and so does this one."""
    with receiver.udp(0.3) as datagrams:
        for _ in range(UDP_TRIES):
            datagrams.send(frame)
            try:
                return datagrams.recv(4096)
            except (socket.timeout, TimeoutError):
                continue
    raise TimeoutError(f"{UDP_TRIES} datagrams")


def honest(tally, receiver, name, times=50):
    """One connection a message, as older senders do, and UDP in turn; the longest wait of the former."""
    worst = 0.0
    for number in range(times):
        frame = message("ADM-CID", f"{number + 1:04d}", "4401", b"#4401|1131 01 005")
        begun = time.monotonic()
        try:
            answer = ask_udp(receiver, frame) if number % 2 else ask_tcp(receiver, frame)
            good = read(answer)["id"] == "ACK"
        except (OSError, Wrong) as wrong:
            tally.check(f"{name}: answered", False, str(wrong))
            continue
        if number % 2 == 0:
            worst = max(worst, time.monotonic() - begun)
        tally.check(f"{name}: answered", good)
    tally.check(f"{name}: soon", worst < PATIENCE_S, f"{worst:.3f} s")
    return worst


def slow(receiver, count=200):
    """Begin a frame and do not end it."""
    connections = []
    for _ in range(count):
        connection = receiver.tcp()
        connection.sendall(b'\nBF2B0027"ADM-CID"04')
        connections.append(connection)
    return connections


def drip(tally, receiver):
    """An octet at a time is answered all the same."""
    with receiver.tcp() as connection:
        for octet in message("ADM-CID", "0007", "4401", b"#4401|1131 01 005"):
            connection.sendall(bytes([octet]))
            time.sleep(0.002)
        tally.check("an octet at a time", read(frames_from(connection, 1)[0])["seq"] == "0007")


class Flood(threading.Thread):
    """Sends as fast as it can; takes its answers or is deaf to them."""

    def __init__(self, receiver, octets, deaf=False, udp=False):
        super().__init__(daemon=True)
        self.connection = receiver.udp(1) if udp else receiver.tcp(1)
        self.octets, self.deaf, self.udp, self.over = octets, deaf, udp, False

    def run(self):
        if not self.deaf and not self.udp:
            threading.Thread(target=self.drain, daemon=True).start()
        while not self.over:
            try:
                self.connection.sendall(self.octets)
            except TimeoutError:
                continue
            except OSError:
                return

    def drain(self):
        try:
            while not self.over and self.connection.recv(65536):
                pass
        except OSError:
            return


def floods(receiver):
    valid = message("ADM-CID", "0001", "1111", b"#1111|1131 01 001") * 200
    rng = random.Random(4)
    noise = bytes(rng.randrange(256) for _ in range(60_000))
    threads = [
        Flood(receiver, valid), Flood(receiver, valid, deaf=True), Flood(receiver, noise), Flood(receiver, b"\n" * 60_000),
        Flood(receiver, b"\n" + b"x" * 60_000), Flood(receiver, valid[:len(valid) // 200], udp=True),
        Flood(receiver, noise[:1400], udp=True),
    ]
    for thread in threads:
        thread.start()
    return threads


def broken(tally, receiver):
    """Frames with every kind of damage get no answer, and the one behind them does."""
    good = message("ADM-CID", "0042", "4401", b"#4401|1131 01 005")
    rng = random.Random(5)
    for number in range(300):
        harm = bytearray(good)
        for _ in range(rng.randint(1, 4)):
            harm[rng.randrange(1, len(harm) - 1)] = rng.choice(b'0129AFafLR#[]"|\x00\xff ')
        harm = bytes(harm[:rng.randint(1, len(harm))]) if number % 3 == 0 else bytes(harm)
        if harm == good:
            continue
        with receiver.tcp() as connection:
            connection.sendall(harm + framed(b'"NULL"0000L0#FFFF[]'))
            first = frames_from(connection, 1)[0]
            tally.check("after a broken frame", b"#FFFF[" in first, f"{harm!r} got {first!r}")


def half_open(tally, receiver):
    """Many idle connections, and one that is reset."""
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    resource.setrlimit(resource.RLIMIT_NOFILE, (hard, hard))
    count = min(IDLE, hard - 200 if hard != resource.RLIM_INFINITY else IDLE)
    before = receiver.memory_kb()
    connections = [receiver.tcp() for _ in range(count)]
    for connection in connections[:100]:
        connection.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, b"\1\0\0\0\0\0\0\0")
        connection.close()
    honest(tally, receiver, f"beside {count} idle connections")
    # Each of them is answered when it wakes up.
    for number, connection in enumerate(connections[100:]):
        if number % 50 == 0:
            connection.sendall(message("ADM-CID", "0009", "4401", b"#4401|1131 01 005"))
            tally.check("an idle one wakes", read(frames_from(connection, 1)[0])["seq"] == "0009")
    memory = receiver.memory_kb()
    print(f"{count} idle connections: {memory / 1024:.1f} MB in all, {(memory - before) / 1024:.1f} MB more than without")
    tally.check("memory", memory < IDLE_MB * 1024, f"{memory} kB")
    for connection in connections:
        connection.close()


def main():
    tally = Tally()
    with tempfile.TemporaryDirectory() as folder:
        with Receiver(folder) as receiver:
            print(f"alone: {honest(tally, receiver, 'alone') * 1000:.1f} ms at most")
            drip(tally, receiver)
            broken(tally, receiver)
            held = slow(receiver)
            print(f"beside {len(held)} unfinished frames: {honest(tally, receiver, 'beside slow ones') * 1000:.1f} ms at most")
        with Receiver(folder, quiet=True) as receiver:
            threads = floods(receiver)
            time.sleep(0.5)
            worst = honest(tally, receiver, "beside floods", 30)
            memory = receiver.memory_kb()
            print(f"beside {len(threads)} floods: {worst * 1000:.1f} ms at most, {memory / 1024:.1f} MB")
            tally.check("memory beside floods", memory < 300 * 1024, f"{memory} kB")
            for thread in threads:
                thread.over = True
        with Receiver(folder) as receiver:
            half_open(tally, receiver)
    return tally.finish()


if __name__ == "__main__":
    sys.exit(main())
