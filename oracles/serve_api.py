#!/usr/bin/env python3
"""The doors of `serve` for programs, fuzzed from their own description by schemathesis (PyPI), and its numbers against
`assess --json`.

Another program reads /api/openapi.json and sends what it allows and what it forbids; every answer must be one that is
described, and none may be a fault of the server. Needs schemathesis beside this Python, or in SERVE_API_VENV.
"""

import json
import os
import pathlib
import struct
import subprocess
import sys
import tempfile
import urllib.error
import urllib.request
import zlib

HERE = pathlib.Path(__file__).resolve().parent
PROGRAM = os.environ.get("LOOPWRIGHT_BIN", str(HERE.parent / "target/release/loopwright"))
EXAMPLES = os.environ.get("SERVE_API_EXAMPLES", "40")
CONFIG = """
[parameters]
"path.job" = "yard"
"path.photo" = "front"
"query.compare" = "orchard"

# What a text says is more than any schema of it does.
[[operations]]
include-name = ["POST /api/v1/jobs", "PUT /api/v1/jobs/{job}", "POST /api/v1/jobs/{job}/changes"]
checks.positive_data_acceptance.expected-statuses = ["2xx", "404", "409", "422"]

# Octets by chance are no photo, and a time or a date by chance is none.
[[operations]]
include-name = ["POST /api/v1/jobs/{job}/photos"]
checks.positive_data_acceptance.expected-statuses = ["2xx", "409", "415"]

[[operations]]
include-name = ["GET /api/v1/jobs/{job}/allocate", "GET /api/v1/jobs/{job}/kit"]
checks.positive_data_acceptance.expected-statuses = ["2xx", "404", "422"]
"""

passed = failed = 0


def check(what, holds, told=""):
    global passed, failed
    if holds:
        passed += 1
    else:
        failed += 1
        print(f"FAILED {what}: {told}")


def ask(url, body=None, method=None):
    data = None if body is None else json.dumps(body).encode()
    request = urllib.request.Request(url, data, {"content-type": "application/json"}, method=method)
    try:
        with urllib.request.urlopen(request, timeout=30) as answer:
            return answer.status, answer.read()
    except urllib.error.HTTPError as error:
        return error.code, error.read()


def schemathesis():
    venv = os.environ.get("SERVE_API_VENV")
    beside = pathlib.Path(venv or sys.prefix) / "bin" / "schemathesis"
    return str(beside) if beside.exists() else "schemathesis"


def fuzz(base, folder):
    config = pathlib.Path(folder, "schemathesis.toml")
    config.write_text(CONFIG)
    words = [schemathesis(), "--config-file", str(config), "run", base + "/api/openapi.json", "--seed", "1840",
             "--max-examples", EXAMPLES, "--workers", "1", "--no-color"]
    done = subprocess.run(words, cwd=folder, capture_output=True, text=True)
    if done.returncode != 0:
        print(done.stdout[-6000:], done.stderr[-2000:])
    check("schemathesis finds nothing", done.returncode == 0, f"exit {done.returncode}")
    for line in done.stdout.splitlines():
        if " generated, " in line:
            print("schemathesis:", line.strip())


def photograph(base):
    """The smallest PNG, written by hand: one grey pixel."""
    def piece(name, data):
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))
    png = b"\x89PNG\r\n\x1a\n" + piece(b"IHDR", struct.pack(">IIBBBBB", 1, 1, 8, 0, 0, 0, 0))
    png += piece(b"IDAT", zlib.compress(b"\0\x80")) + piece(b"IEND", b"")
    request = urllib.request.Request(base + "/api/v1/jobs/yard/photos?id=front&about=C01", png, {"content-type": "image/png"})
    with urllib.request.urlopen(request, timeout=30) as answer:
        return answer.status


def numbers(base):
    """What the doors say is what the command line prints, byte for byte."""
    for job in ["orchard", "yard"]:
        text = json.loads(ask(f"{base}/api/v1/jobs/{job}")[1])["text"]
        with tempfile.NamedTemporaryFile("w", suffix=".toml", encoding="utf-8", newline="") as file:
            file.write(text)
            file.flush()
            for door, words in [
                ("assessment", ["assess"]), ("assessment?all=true", ["assess", "--all"]), ("identify", ["identify"]),
                ("allocate", ["allocate"]), ("allocate?nodes=50", ["allocate", "--nodes", "50"]),
                ("cutover", ["cutover"]), ("cutover?way=swap&nodes=500", ["cutover", "--way", "swap", "--nodes", "500"]),
                ("kit", ["kit"]), ("kit?date=2030-02-28", ["kit", "--date", "2030-02-28"]),
            ]:
                printed = subprocess.run([PROGRAM, *words, "--json", file.name], capture_output=True).stdout
                status, said = ask(f"{base}/api/v1/jobs/{job}/{door}")
                check(f"{job} {door}", status == 200 and said == printed, status)


def main():
    with tempfile.TemporaryDirectory() as folder:
        log = open(pathlib.Path(folder, "log"), "w+")
        words = [PROGRAM, "serve", "--listen", "127.0.0.1:0", "--db", str(pathlib.Path(folder, "jobs.db"))]
        server = subprocess.Popen(words, stdout=subprocess.PIPE, stderr=log, text=True)
        try:
            base = server.stdout.readline().strip().rstrip("/")
            text = (HERE.parent / "examples/orchard-row/job.toml").read_text()
            for job in ["yard", "orchard"]:
                status, said = ask(base + "/api/v1/jobs", {"id": job, "text": text})
                check(f"{job} is kept", status == 201, said)
            check("a photo is kept", photograph(base) == 201)
            fuzz(base, folder)
            numbers(base)
            check("it still runs", server.poll() is None)
        finally:
            server.terminate()
            check("it ends in order", server.wait(20) == 0)
        log.seek(0)
        faults = [line for line in log if " status=5" in line or "fault of the program" in line]
        check("no fault of the server", not faults, faults[:5])
    print(f"{passed} passed, {failed} failed")
    return failed != 0


sys.exit(main())
