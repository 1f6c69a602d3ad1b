#!/usr/bin/env python3
"""The kit counted again from the job's text, the library's files and what `assess --json` says, by the rules of
docs/format.md (Kit): resistors by value, every other part, seconds of every task, the bill; in whole numbers and fractions.

`kit.py [--seed N] [--count N]`. Needs Python 3.11 (tomllib).
"""
import argparse
import json
import math
import pathlib
import random
import re
import sys
import tempfile
import tomllib
from collections import defaultdict
from fractions import Fraction

from harness import ROOT, Tally, run
from kit_compare import batteries, bill, lines
from kit_data import Library, nearest_e24, number_of, ohms, shares, words
from kit_jobs import drawn

FIRE = {"smoke", "heat", "manual-call", "waterflow", "valve"}
LIFT = {"lift", "platform", "tower", "scaffold", "crane"}
TIMED = {"before", "after", "only", "until", "between"}
YEAR = 2026


class Count:
    """What the rules ask for: parts by (part, value), and seconds by task."""

    def __init__(self, job, answer, library, seats=(), told=()):
        """`seats`: inputs that the allocation gives; `told`: the kit's own findings."""
        self.job, self.answer, self.library = job, answer, library
        self.seats, self.told = seats, told
        self.parts = defaultdict(lambda: [0, 0])
        self.work = defaultdict(lambda: [0, 0])
        self.reached, self.second = set(), 0
        self.devices = {device["id"]: device for device in job.get("device", [])}
        self.modules = {module["id"]: module for module in job.get("module", [])}
        self.gauge = job.get("assume", {}).get("cable", "22 AWG")

    def need(self, part, value="", lo=1, hi=None):
        hi = lo if hi is None else hi
        if hi:
            self.parts[part, value][0] += lo
            self.parts[part, value][1] += hi

    def task(self, task, lo=1, hi=None, each=None):
        hi = lo if hi is None else hi
        low, high, per = each or self.library.tasks[task]
        self.work[task][0] += math.floor(low * lo / per)
        self.work[task][1] += math.ceil(high * hi / per)

    def device(self, tag, name):
        return self.devices.get(f"{tag}/{name}") or self.devices.get(name)

    def reach(self, tag, name, lo=1, hi=1):
        device = self.device(tag, name)
        if device and device.get("minutes") and hi and device["id"] not in self.reached:
            self.reached.add(device["id"])
            seconds = Fraction(device["minutes"]) * 60
            self.task("access", lo, hi, (seconds, seconds, 1))

    def fit(self, task, profile_id, count=1):
        own = self.library.profiles[profile_id].get("minutes", 0)
        self.task(task, count, each=(own * 60, own * 60, 1) if own else None)

    def all(self):
        self.whole(), self.enclosures(), self.all_modules(), self.supplies()
        for circuit, found in zip(self.job.get("circuit", []), self.answer["circuits"]):
            self.circuit(circuit, found)
        self.allowances(), self.aged()
        return self

    def whole(self):
        job = self.job
        if "panel" in job and "profile" in job["panel"]:
            self.need(job["panel"]["profile"])
        if "panel" in job or "station" in job:
            self.task("communicator")
        if "station" in job:
            self.task("station-call", 2)
        if job.get("circuit"):
            for task in ("power-down", "remove-old", "hand-over"):
                self.task(task)
        for _ in job.get("output", []):
            self.task("prove-output")
        for cable in job.get("cable", []):
            for core in cable["cores"]:
                to = core["to"] if isinstance(core["to"], list) else [core["to"]]
                shared = [end for end in to if re.fullmatch(r".*\.[ab]", end)]
                if len(shared) > 1:
                    self.need("terminal", "", len(shared) + 1)

    def enclosures(self):
        for enclosure in self.job.get("enclosure", []):
            if "profile" in enclosure:
                self.need(enclosure["profile"])
                self.fit("enclosure", enclosure["profile"])
            else:
                self.task("enclosure")
            self.task("cover-and-tamper")
            self.need("label")
            self.need("cover-tamper", "", 0, 1)

    def all_modules(self):
        for module in self.job.get("module", []):
            if "profile" not in module:
                self.task("module")
                continue
            profile = self.library.profiles[module["profile"]]
            self.need(profile["id"])
            self.fit("module", profile["id"])
            on = [c for c in self.answer["circuits"] if (c["input"] or "").rpartition(".")[0] == module["id"]]
            mode = module.get("mode")
            if mode is None and profile.get("mode_per", "module") == "module" and on:
                mode = on[0]["mode"]
            eol = next((m.get("eol") for m in profile["mode"] if m["id"] == mode), None)
            if eol:
                further = self.seated_further(module["id"]) if self.seats else sum(self.further(c) for c in on)
                self.need("resistor", ohms(eol), 0, max(profile["inputs"] - len(on) - further, 0))

    def supplies(self):
        for supply, found in zip(self.job.get("supply", []), self.answer["supplies"]):
            self.task("power-up")
            self.need("label")
            if "profile" in supply:
                self.need(supply["profile"])
                self.fit("supply", supply["profile"])
            else:
                self.task("supply")
            strings = supply.get("strings", 1)
            if "battery" in supply:
                series = supply.get("in_series", 2 if supply.get("profile", "").startswith("psu-24v") else 1)
                battery = self.larger(supply) or supply["battery"]
                self.need(battery, "", strings * series)
                self.fit("battery", battery, strings)
            if "transformer" in supply:
                self.need(supply["transformer"])
                self.fit("transformer", supply["transformer"])
            if " of " in supply.get("transformer_cable", ""):
                length, gauge = supply["transformer_cable"].split(" of ")
                self.cable(gauge, number_of(length))
            if "fuse" in supply:
                self.need("fuse", supply["fuse"])
            for load in supply.get("loads", []):
                if load.get("device") == "keypad":
                    self.need("keypad", "", load.get("count", 1))
                    self.fit("keypad", "keypad", load.get("count", 1))
            self.run_to_change(supply, found)

    def larger(self, supply):
        """The battery that the list says it holds in place of one that is too small; what it must be is checked in `batteries`."""
        told = [f for f in self.told if f["code"] == "kit-battery-larger" and f["where"] == supply["id"]]
        return re.search(r'battery = "([^"]+)"', told[0]["remedy"]).group(1) if told else None

    def run_to_change(self, supply, found):
        point = found["change_first"]
        if point is None:
            return
        run = next(run for run in supply["runs"] if run["to"] == point)
        if "cable" not in run:
            return
        length, gauge = run["cable"].split(" of ")
        smallest = next(one["smallest"] for one in found["points"] if one["name"] == point)
        metres = self.cable(smallest or gauge, number_of(length))
        self.need("gel-joint", "", 4)
        self.task("cable", metres)

    def cable(self, gauge, length):
        metres = math.ceil(length)
        awg = re.fullmatch(r"(\d+) AWG", gauge)
        # American wire gauge: 0.127 mm x 92 ^ ((36 - n) / 39) across.
        area = math.pi / 4 * (0.127 * 92 ** ((36 - int(awg.group(1))) / 39)) ** 2 if awg else float(number_of(gauge))
        self.need("cable-signal" if area <= 0.55 else "cable-power", gauge, metres)
        return metres

    def of(self, found, code):
        weight = {"note": 0, "check": 1, "fix": 2, "stop": 3}
        return max((weight[f["severity"]] for f in self.answer["findings"] if f["where"] == found["tag"] and f["code"] == code), default=None)

    def circuit(self, circuit, found):
        tag, network = circuit["tag"], circuit.get("network")
        sounder = circuit.get("duty") == "sounder"
        unknown = network is None and "other" not in circuit
        if not circuit.get("found"):
            self.task("survey")
        if unknown:
            self.task("identify-labelled" if circuit.get("was") else "identify-unlabelled")
            self.second += 1
        self.task("lift-pair")
        self.task("measure-pair")
        if self.of(found, "spare") is not None and found["why"] is not None:
            self.need("cable-tag", "", 2)
            return
        self.dummy(circuit, found)
        self.task("land-pair")
        self.pair_parts(1)
        if not sounder:
            self.task("programme-zone")
            self.task("enrol-input")
        names = list(dict.fromkeys(re.findall(r"\b(?:nc|no|smoke|sounder):(\w+)", network or "")))
        if "smoke:" in (network or ""):
            self.task("smoke-loop")
        joints = len(re.findall(r"\bjoint:", network or ""))
        self.need("gel-joint", "", 0, 2 * joints)
        self.task("splice-found", 0, joints)
        fire = circuit.get("duty") in FIRE
        walk = "walk-test-fire" if fire else "walk-test"
        if names:
            self.task(walk, len(names))
            self.need("label", "", len(names))
            if fire:
                for name in names:
                    self.reach(tag, name)
        else:
            self.task(walk, 0, 1)
        self.remedy(circuit, found, names)
        if unknown:
            mode = self.mode(found)
            if mode and mode.get("eol"):
                self.need("resistor", ohms(mode["eol"]), 0, 1)
            self.at_device(tag, [], 0, 1)
        leg = self.of(found, "leg-to-earth")
        if leg is not None:
            self.task("earth-fault", 1 if leg >= 2 else 0, 1)

    def mode(self, found):
        module = self.modules.get((found["input"] or "").rpartition(".")[0])
        profile = self.library.profiles.get((module or {}).get("profile"))
        return next((m for m in profile["mode"] if m["id"] == found["mode"]), None) if profile else None

    def pair_parts(self, pairs):
        for part in ("ferrule", "cable-tag", "cable-tie"):
            self.need(part, "", 2 * pairs)
        self.need("label", "", pairs)

    def dummy(self, circuit, found):
        read = [r["ohms"] for r in circuit.get("found", []) if r["when"] == "rest" and "ohms" in r]
        if read:
            value, known = ohms(read[-1]), read[-1] != "unstable"
        else:
            rest = found["states"][0]["ohms"] if found["states"] else None
            known = rest is not None
            value = Fraction((rest["lo"] + rest["hi"]) / 2) if known and rest["hi"] is not None else None
        if not known:
            self.task("dummy-resistor", 0, 1)
        elif value is not None and value <= 10**6:
            self.task("dummy-resistor")
            if value < 150:
                self.need("link")
            else:
                self.need("resistor", nearest_e24(value))

    def at_device(self, tag, names, lo, hi=None):
        plain, lift = self.library.tasks["resistor-at-device"], self.library.tasks["resistor-by-lift"]
        described = [self.device(tag, name) for name in names]
        if any(d and LIFT & set(words(d.get("access", ""))) for d in described):
            return self.task("resistor-by-lift", lo, hi)
        if not described or any(d is None or not (d.get("access") or "minutes" in d) for d in described):
            return self.task("resistor-at-device", lo, hi, (plain[0], lift[1], 1))
        return self.task("resistor-at-device", lo, hi)

    def wants_remedy(self, found):
        """Whether something has to be done, and whether it reads right as it is."""
        if found["why"] is not None:
            return False, False
        tag = found["tag"]
        to_change = any(f["where"] == tag and f["severity"] in ("fix", "stop") and f["code"] not in ("fire-law", "class-a-as-b")
                        for f in self.answer["findings"])
        right = all(s["ok"] is True for s in found["states"]) and not found["masking"]["possible"]
        return to_change or not right, right

    def seated_further(self, module):
        """Inputs on a module that the allocation gives to circuits which have one before it."""
        tags = [seat["tag"] for seat in self.seats]
        return sum(tag in tags[:at] and self.seats[at]["input"].rpartition(".")[0] == module for at, tag in enumerate(tags))

    def further(self, found):
        """Inputs beside the first of a circuit whose home runs are split."""
        remedy = next((r for r in found.get("remedies", []) if r["kind"] != "mode"), None)
        if not self.wants_remedy(found)[0] or remedy is None or remedy["kind"] != "split":
            return 0
        return taken(remedy)[1] - 1

    def remedy(self, circuit, found, names):
        tag = circuit["tag"]
        wanted, right = self.wants_remedy(found)
        if not wanted:
            return
        remedy = next((r for r in found["remedies"] if r["kind"] != "mode"), None)
        if remedy is None:
            # A mode that does is no open end.
            if not found["remedies"] or right:
                self.second += 1
                for name in names:
                    device = self.device(tag, name) or {}
                    self.need(*((device["profile"], "") if "profile" in device else ("device", name)), 0, 1)
                    self.task("device", 0, 1)
                    self.reach(tag, name, 0, 1)
            return
        new, at_devices, at_panel, moved = taken(remedy)
        for value in new:
            self.need("resistor", value)
        if moved is not None:
            self.need("resistor", moved, 0, 1)
        if at_devices:
            at = names if at_devices > 1 else names[-1:]
            self.at_device(tag, at, at_devices)
            for name in at:
                self.reach(tag, name)
            self.need("gel-joint", "", 2 * at_devices)
        if remedy["kind"] == "split":
            for task in ("land-pair", "enrol-input", "programme-zone"):
                self.task(task, at_devices - 1)
            self.pair_parts(at_devices - 1)
        elif at_panel:
            self.task("resistor-at-panel", at_panel)

    def allowances(self):
        untested = 0
        for circuit in self.job.get("circuit", []):
            network = circuit.get("network", "")
            names = list(dict.fromkeys(re.findall(r"\b(?:nc|no|smoke|sounder):(\w+)", network)))
            alarms = set(re.findall(r"\b(?:nc|no):(\w+)(?!\w)(?!\.(?:tamper|fault))", network))
            when = [r["when"] for r in circuit.get("found", [])]
            for name in names:
                own = name in when or any(w.startswith(name + ".") for w in when)
                untested += not (own or ("tripped" in when and len(alarms) == 1))
        low, high = shares(self.library.allowance["dead"])
        lo, hi = math.floor(untested * low), math.ceil(untested * high)
        self.need("device", "what turns out dead", lo, hi)
        if hi:
            self.task("device", lo, hi)
        low, high = shares(self.library.allowance["repaired"])
        all_of = len(self.job.get("circuit", []))
        lo, hi = math.floor(all_of * low), math.ceil(all_of * high)
        if hi:
            self.task("splice-hunted", lo, hi)
            self.need("gel-joint", "", 2 * lo, 2 * hi)

    def aged(self):
        seen = set()
        for circuit in self.job.get("circuit", []):
            if circuit.get("duty") not in ("smoke", "heat"):
                continue
            for name in dict.fromkeys(re.findall(r"\b(?:nc|no|smoke|sounder):(\w+)", circuit.get("network", ""))):
                device = self.device(circuit["tag"], name)
                if not device or "made" not in device or device["id"] in seen:
                    continue
                seen.add(device["id"])
                age = YEAR - device["made"]
                if age >= self.library.allowance["old_after"]:
                    lo = int(age >= self.library.allowance["due_after"])
                    self.need(*((device["profile"], "") if "profile" in device else ("device", name)), lo, 1)
                    self.task("device", lo, 1)
                    self.reach(circuit["tag"], name, lo, 1)

    def timed(self):
        """Reasons to come back that access names."""
        texts = [device.get("access", "") for device in self.devices.values()] + [self.job.get("standing", {}).get("access", "")]
        return any(TIMED & set(words(phrase)) for text in texts for phrase in re.split("[,;]", text))

    def run_without_length(self):
        for supply, found in zip(self.job.get("supply", []), self.answer["supplies"]):
            run = next((run for run in supply.get("runs", []) if run["to"] == found["change_first"]), None)
            if run and "cable" not in run:
                return True
        return False


def taken(remedy):
    """Out of a remedy's sentence: new resistors, places away from the panel and at it, and what is moved."""
    text, kind = remedy["text"], remedy["kind"]
    if kind == "adapter":
        new = [Fraction(remedy[key]) for key in ("series_ohm", "across_ohm") if remedy[key] is not None]
        return new, 0, 1, None
    if kind == "split":
        count = int(re.match(r"Split the (\d+) home runs", text).group(1))
        return [ohms(re.search(r"put (\S+(?: ohm)?) at the end", text).group(1))] * count, count, count, None
    if kind == "value":
        if match := re.fullmatch(r"Change all (\d+) resistors to (.+)\.", text):
            return [ohms(match.group(2))] * int(match.group(1)), int(match.group(1)), 0, None
        value = re.fullmatch(r"(?:Change the resistor (?:at the end|where it is) to|Put|Take out .+ and put) (.+?)(?: at the end of the line)?\.", text)
        return [ohms(value.group(1))], 1, 0, None
    if match := re.search(r"and put (.+) at the end of the line", text):
        return [ohms(match.group(1))], 1, 0, None
    if match := re.search(r"[Mm]ove the (\S+(?: ohm)?) from", text):
        return [], 1, 0, ohms(match.group(1))
    at_panel = int("at the terminals" in text)
    return [], 1 - at_panel, at_panel, None


def check(tally, name, text, library):
    with tempfile.TemporaryDirectory() as folder:
        path, seated = pathlib.Path(folder) / "job.toml", pathlib.Path(folder) / "seated.toml"
        path.write_text(text)
        seated.write_text(text)
        # What has no input is counted where the allocation puts it: the file that it writes is counted here.
        waits = any("input" not in c and c.get("duty") != "sounder" and re.search(r"\b(nc|no|smoke):", c.get("network", ""))
                    for c in tomllib.loads(text).get("circuit", []))
        seats = run(["allocate" if waits else "check", seated, "--json"] + ["--write"] * waits)
        text = seated.read_text()
        job = tomllib.loads(text)
        assessed, made = run(["assess", seated, "--json"]), run(["kit", path, "--json", "--date", f"{YEAR}-11-28"])
        again = run(["kit", path, "--json", "--date", f"{YEAR}-11-28"])
    if not tally.check(f"{name}: both answer", seats.code in (0, 1) and assessed.code in (0, 1) and made.code == 0, (made.out[:600], made.err[:300])):
        return
    answer, kit = json.loads(assessed.out), json.loads(made.out)
    tally.check(f"{name}: same job, same bytes", made.out == again.out)
    seats = json.loads(seats.out).get("inputs", []) if waits else []
    count = Count(job, answer, library, seats, kit["findings"]).all()
    batteries(tally, name, job, answer, kit, count)
    lines(tally, name, job, kit, count, library)
    seconds = defaultdict(lambda: [0, 0])
    for work in kit["work"]:
        seconds[work["task"]][0] += work["time_s"]["lo"]
        seconds[work["task"]][1] += work["time_s"]["hi"]
    for task in sorted(set(seconds) | {task for task, ends in count.work.items() if ends[1]}):
        tally.check(f"{name}: seconds of {task}", seconds[task] == count.work[task], f"{seconds[task]} {count.work[task]}")
    bill(tally, name, job, kit, count, library)


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--count", type=int, default=120)
    asked = parser.parse_args()
    tally, library = Tally(), Library()
    check(tally, "demo", (ROOT / "examples/orchard-row/job.toml").read_text(), library)
    check(tally, "nothing", "format = 1\n", library)
    for number in range(asked.count):
        seed = f"{asked.seed}-{number}"
        check(tally, f"job {seed}", drawn(random.Random(seed)), library)
    return tally.finish()


if __name__ == "__main__":
    sys.exit(main())
