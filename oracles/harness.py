"""Running the program and counting: writes job and library folders, calls `assess --json --all`, keeps the tally."""
import json
import math
import os
import pathlib
import shutil
import subprocess
import sys
import tempfile
import time

ROOT = pathlib.Path(__file__).resolve().parent.parent
BINARY = pathlib.Path(os.environ.get("LOOPWRIGHT_BIN", ROOT / "target/release/loopwright"))
BINARY = BINARY if BINARY.is_absolute() else pathlib.Path.cwd() / BINARY
SHOWN = 25   # failures printed in full; the rest is counted


def have_ngspice():
    return shutil.which("ngspice") is not None


class Tally:
    def __init__(self):
        self.passed = self.failed = self.skipped = 0

    def check(self, name, good, detail=""):
        if good:
            self.passed += 1
            return True
        self.failed += 1
        if self.failed <= SHOWN:
            print(f"FAILED {name}" + (f"\n       {detail}" if detail != "" else ""))
        return False

    def near(self, name, got, want, relative=0.0, absolute=0.0):
        """JSON writes infinity as null; both sides may use either."""
        got, want = (math.inf if x is None else x for x in (got, want))
        if math.isinf(want) or math.isinf(got):
            return self.check(name, got == want, f"got {got}, want {want}")
        gap = abs(got - want)
        return self.check(name, gap <= max(absolute, relative * abs(want)), f"got {got!r}, want {want!r}, gap {gap:.3g}")

    def finish(self):
        if self.failed > SHOWN:
            print(f"... and {self.failed - SHOWN} more failures")
        if self.skipped:
            print(f"not counted (too near an edge for a grid to judge): {self.skipped}")
        print(f"{self.passed} passed, {self.failed} failed")
        return 1 if self.failed or not self.passed else 0


# --- writing jobs -----------------------------------------------------------------------------------------------

def quoted(text):
    """A TOML basic string; JSON's escapes are a subset of TOML's."""
    return json.dumps(text, ensure_ascii=False)


def number(value):
    """Shortest decimal that reads back as the same float, without exponent."""
    text = repr(float(value))
    return f"{value:.12f}".rstrip("0") if "e" in text else text


def below(mode, edge):
    unit = {"ohm": " ohm", "volt": " V", "percent": " % of source", "learned": " %"}[mode.unit]
    return number(edge * 100 if mode.unit in ("percent", "learned") else edge) + unit


def mode_toml(mode_id, mode, extra=""):
    rows = []
    for band in mode.bands:
        edge = "" if math.isinf(band.below) else f"below = {quoted(below(mode, band.below))}, "
        rows.append(f"  {{ name = {quoted(band.name)}, {edge}means = {quoted(band.means)} }}")
    lines = ["[[mode]]", f"id = {quoted(mode_id)}", f'edge_tolerance = "{number(mode.edge_tolerance * 100)} %"']
    if mode.source and mode.unit in ("volt", "percent"):
        lines.append(f'source = "{number(mode.source[0])} V {number(mode.source[1] * 100)} %"')
    if mode.pull_up and mode.unit in ("volt", "percent"):
        lines.append(f'pull_up = "{number(mode.pull_up[0])} ohm {number(mode.pull_up[1] * 100)} %"')
    if mode.unit == "learned":
        lines.append('learned = "command"')
    return "\n".join(lines) + "\n" + extra + "bands = [\n" + ",\n".join(rows) + " ]\n"


def module_toml(profile_id, modes, inputs=1000, extra=""):
    """`modes`: pairs (id, Mode) or (id, Mode, extra lines)."""
    head = (f'id = {quoted(profile_id)}\nkind = "module"\ntitle = "Input module for tests"\nbasis = "invented"\n'
            f"inputs = {inputs}\n{extra}\n")
    return head + "\n".join(mode_toml(*mode) for mode in modes)


class Job:
    """One job file with any number of modules and circuits; every circuit gets the next input of its module."""

    def __init__(self, head=""):
        self.head, self.modules, self.circuits, self.profiles, self.used = head, [], [], {}, {}

    def module(self, module_id, modes, mode_id, extra="", inputs=1000):
        profile = f"p-{module_id.lower()}"
        self.profiles[profile] = module_toml(profile, modes, inputs, extra)
        self.modules.append(f'[[module]]\nid = "{module_id}"\nprofile = "{profile}"\nmode = "{mode_id}"\n')
        self.used[module_id] = 0
        return module_id

    def circuit(self, tag, network, module=None, gauge=None, duty="intrusion", extra=""):
        lines = ["[[circuit]]", f"tag = {quoted(tag)}", f"duty = {quoted(duty)}", f"network = {quoted(network)}"]
        if gauge:
            lines.append(f'gauge = "{gauge[0]} AWG{" stranded" if gauge[1] else ""}"')
        if module:
            self.used[module] += 1
            lines.append(f'input = "{module}.{self.used[module]}"')
        self.circuits.append("\n".join(lines) + "\n" + extra)

    def text(self):
        return "format = 1\n\n" + "\n".join([self.head] + self.modules + self.circuits)

    def assess(self):
        """Runs the program once; gives its circuits by tag, and the whole answer."""
        with tempfile.TemporaryDirectory() as folder:
            folder = pathlib.Path(folder)
            (folder / "library/equipment").mkdir(parents=True)
            for name, text in self.profiles.items():
                (folder / "library/equipment" / f"{name}.toml").write_text(text)
            (folder / "job.toml").write_text(self.text())
            ran = run(["assess", folder / "job.toml", "--json", "--all", "--library", folder / "library"])
        if ran.code not in (0, 1):
            print(ran.out.decode("utf-8", "replace")[:4000], ran.err.decode("utf-8", "replace")[:4000])
            sys.exit(f"the program refused a good job (exit {ran.code})\n0 passed, 1 failed")
        answer = json.loads(ran.out, parse_constant=lambda name: sys.exit(f"JSON holds {name}\n0 passed, 1 failed"))
        return {circuit["tag"]: circuit for circuit in answer["circuits"]}, answer


# --- running ----------------------------------------------------------------------------------------------------

class Ran:
    def __init__(self, code, out, err, seconds, peak_mb):
        self.code, self.out, self.err, self.seconds, self.peak_mb = code, out, err, seconds, peak_mb


def run(arguments, limit=120):
    """Runs the program with a time limit; keeps exit code, output, seconds and the peak of its memory."""
    if not BINARY.exists():
        sys.exit(f"no program at {BINARY.name}: build it, or set LOOPWRIGHT_BIN\n0 passed, 1 failed")
    with tempfile.TemporaryFile() as out, tempfile.TemporaryFile() as err:
        begin = time.monotonic()
        child = subprocess.Popen([BINARY, *arguments], stdin=subprocess.DEVNULL, stdout=out, stderr=err)
        code = None
        while code is None:
            pid, status, usage = os.wait4(child.pid, os.WNOHANG)
            if pid:
                code = os.waitstatus_to_exitcode(status)
            elif time.monotonic() - begin > limit:
                os.kill(child.pid, 9)
                _, _, usage = os.wait4(child.pid, 0)
                code = "timeout"
            else:
                time.sleep(0.002)
        child.returncode = 0   # already reaped above
        seconds = time.monotonic() - begin
        out.seek(0), err.seek(0)
        return Ran(code, out.read(), err.read(), seconds, usage.ru_maxrss / 1024)


def states_of(circuit):
    """JSON's states by their set of active contacts."""
    return {frozenset(state["active"]): state for state in circuit["states"]}
