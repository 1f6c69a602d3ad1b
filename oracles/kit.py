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

E24 = [10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91]
FIRE = {"smoke", "heat", "manual-call", "waterflow", "valve"}
LIFT = {"lift", "platform", "tower", "scaffold", "crane"}
TIMED = {"before", "after", "only", "until", "between"}
YEAR = 2026


def number_of(text):
    return Fraction(re.match(r"[0-9.]+", text).group())


def minutes(text):
    """`15 min to 30 min`, in seconds."""
    ends = [number_of(end) * (3600 if end.strip().endswith("h") else 60) for end in text.split(" to ")]
    return ends[0], ends[-1]


def ohms(text):
    """`2.2k`, `470 ohm`, `1M`; None for `open` and `unstable`."""
    if text in ("open", "unstable"):
        return None
    scale = {"k": 1000, "M": 10**6}
    factor = next((scale[letter] for letter in text if letter in scale), 1)
    return number_of(text) * factor


def shares(text):
    ends = [number_of(end) / 100 for end in text.split(" to ")]
    return ends[0], ends[-1]


def nearest_e24(value):
    values = [Fraction(two) * Fraction(10) ** power for power in range(-1, 8) for two in E24]
    return min(values, key=lambda one: abs(math.log(one / value)))


def words(text):
    return [word for word in re.split(r"[^0-9a-zA-Z]+", text.lower()) if word]


class Library:
    def __init__(self):
        labour = tomllib.loads((ROOT / "labour/default.toml").read_text())
        self.tasks = {word: (*minutes(task["minutes"]), task.get("per", 1)) for word, task in labour["task"].items()}
        self.parts, self.allowance = labour["part"], labour["allowance"]
        self.profiles = {}
        for file in (ROOT / "equipment").glob("*.toml"):
            profile = tomllib.loads(file.read_text())
            self.profiles[profile["id"]] = profile
        self.van = tomllib.loads((ROOT / "habits/default.toml").read_text())["van"]["carries"]


class Count:
    """What the rules ask for: parts by (part, value), and seconds by task."""

    def __init__(self, job, answer, library):
        self.job, self.answer, self.library = job, answer, library
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
                self.need("resistor", ohms(eol), 0, profile["inputs"] - len(on))

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
                self.need(supply["battery"], "", strings * series)
                self.fit("battery", supply["battery"], strings)
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
            if value < 100:
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

    def remedy(self, circuit, found, names):
        tag = circuit["tag"]
        if found["why"] is not None:
            return
        to_change = any(f["where"] == tag and f["severity"] in ("fix", "stop") and f["code"] not in ("fire-law", "class-a-as-b")
                        for f in self.answer["findings"])
        right = all(s["ok"] is True for s in found["states"]) and not found["masking"]["possible"]
        if right and not to_change:
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
        value = re.fullmatch(r"(?:Change the resistor (?:at the end|where it is) to|Put) (.+?)(?: at the end of the line)?\.", text)
        return [ohms(value.group(1))], 1, 0, None
    if match := re.search(r"and put (.+) at the end of the line", text):
        return [ohms(match.group(1))], 1, 0, None
    if match := re.match(r"Move the (\S+(?: ohm)?) from", text):
        return [], 1, 0, ohms(match.group(1))
    at_panel = int("at the terminals" in text)
    return [], 1 - at_panel, at_panel, None


def price_of(library, job, part):
    """Hundredths, from and to; None where nobody has given it."""
    if part == "device":
        named = [library.profiles[d["profile"]].get("price", 0) for d in job.get("device", []) if "profile" in d]
        named = [Fraction(str(price)) * 100 for price in named if price]
        return (min(named), max(named)) if named else None
    price = library.parts[part]["price"] if part in library.parts else library.profiles[part].get("price", 0)
    return (Fraction(str(price)) * 100,) * 2 if part in library.parts or price else None


def check(tally, name, text, library):
    job = tomllib.loads(text)
    with tempfile.TemporaryDirectory() as folder:
        path = pathlib.Path(folder) / "job.toml"
        path.write_text(text)
        assessed, made = run(["assess", path, "--json"]), run(["kit", path, "--json", "--date", f"{YEAR}-11-28"])
        again = run(["kit", path, "--json", "--date", f"{YEAR}-11-28"])
    if not tally.check(f"{name}: both answer", assessed.code in (0, 1) and made.code == 0, (made.out[:600], made.err[:300])):
        return
    answer, kit = json.loads(assessed.out), json.loads(made.out)
    tally.check(f"{name}: same job, same bytes", made.out == again.out)
    count = Count(job, answer, library).all()
    lines(tally, name, job, kit, count, library)
    seconds = defaultdict(lambda: [0, 0])
    for work in kit["work"]:
        seconds[work["task"]][0] += work["time_s"]["lo"]
        seconds[work["task"]][1] += work["time_s"]["hi"]
    for task in sorted(set(seconds) | {task for task, ends in count.work.items() if ends[1]}):
        tally.check(f"{name}: seconds of {task}", seconds[task] == count.work[task], f"{seconds[task]} {count.work[task]}")
    bill(tally, name, job, kit, count, library)


def lines(tally, name, job, kit, count, library):
    sold = {}
    for line in kit["lines"]:
        if line["group"] in ("tools", "access"):
            continue
        value = ohms(line["value"]) if line["part"] == "resistor" else line["value"]
        tally.check(f"{name}: one line of {line['part']} {line['value']}", (line["part"], value) not in sold)
        sold[line["part"], value] = line
    for key in sorted(set(sold) | {key for key, ends in count.parts.items() if ends[1]}, key=str):
        line, want = sold.get(key), count.parts.get(key, [0, 0])
        got = [line["needed"]["lo"], line["needed"]["hi"]] if line else [0, 0]
        tally.check(f"{name}: how many {key}", got == want, f"{got} {want}")
        if not line:
            continue
        needs = [sum(need["count"][end] for need in line["needs"]) for end in ("lo", "hi")]
        tally.check(f"{name}: its reasons make up {key}", needs == got and all(need["for"] and need["why"] for need in line["needs"]), needs)
        terms = library.parts.get(key[0], {})
        share = number_of(terms.get("spare", "0 %")) / 100
        spares = max(math.ceil(got[1] * share), terms.get("spare_least", 0))
        tally.check(f"{name}: spares of {key}", line["spares"] == spares, f"{line['spares']} {spares}")
        carried = got[1] + spares
        if "van" in job:
            value = lambda stock: ohms(stock["value"]) if stock["part"] == "resistor" else stock.get("value", "")
            here = sum(stock["count"] for stock in job["van"] if (stock["part"], value(stock)) == key)
        else:
            here = carried if key[0] == "resistor" and key[1] in [ohms(one) for one in library.van] else 0
        van = min(carried, here)
        tally.check(f"{name}: van and order of {key}", (line["from_van"], line["to_order"]) == (van, carried - van), (line["from_van"], van))


def bill(tally, name, job, kit, count, library):
    rates, told = job.get("rates", {}), kit["bill"]
    parts = [0, 0]
    for (part, _), (lo, hi) in count.parts.items():
        price = price_of(library, job, part)
        if price:
            parts = [parts[0] + price[0] * lo, parts[1] + price[1] * hi]
    time = [sum(ends[end] for ends in count.work.values()) for end in (0, 1)]
    outwards = lambda low, high: [math.floor(low), math.ceil(high)]
    margin = number_of(rates.get("margin", "0 %")) / 100
    margin = outwards(parts[0] * margin, parts[1] * margin)
    hour = Fraction(str(rates["hour"])) * 100 if "hour" in rates else None
    labour = outwards(hour * time[0] / 3600, hour * time[1] / 3600) if hour is not None else None
    day = number_of(rates.get("day", "8 h")) * 3600 * rates.get("crew", 1)
    days = [math.ceil(time[0] / day), math.ceil(time[1] / day)]
    travel = [Fraction(str(rates.get("travel", 0))) * 100 * one for one in days]
    back = count.second or count.timed() or count.run_without_length()
    second = [0, Fraction(str(rates.get("second_visit", 0))) * 100 if back else 0]
    total = [sum(some[end] for some in (parts, margin, labour or [0, 0], travel, second)) for end in (0, 1)]
    ends = lambda of: [of["lo"], of["hi"]]
    for what, got, want in [("parts", ends(told["parts_hundredths"]), parts), ("margin", ends(told["margin_hundredths"]), margin),
                            ("seconds", ends(told["time_s"]), time), ("days", ends(told["days"]), days),
                            ("labour", told["labour_hundredths"] and ends(told["labour_hundredths"]), labour),
                            ("travel", ends(told["travel_hundredths"]), travel), ("second visit", ends(told["second_visit_hundredths"]), second),
                            ("total", ends(told["total_hundredths"]), total)]:
        tally.check(f"{name}: bill, {what}", got == want, f"{got} {want}")
    spread = sum(one["seconds"] for one in kit["spread"])
    tally.check(f"{name}: causes make up the range of time", spread == time[1] - time[0], f"{spread} {time}")


NETWORKS = [
    ("wire:20m - nc:a - 2.2k", "intrusion"), ("wire:31m - nc:a - 5.6k", "intrusion"), ("2.2k - wire:31m - nc:a", "intrusion"),
    ("wire:14m - no:a | 2.2k", "hold-up"), ("wire:24m - nc:a - wire:2m - nc:b - 4.7k", "intrusion"), ("wire:9m - nc:a", "intrusion"),
    ("(wire:18m - nc:a) - (wire:26m - nc:b) - 2.2k", "intrusion"), ("4.7k | wire:35m - nc:a - 4.7k", "intrusion"),
    ("wire:20m - nc:a.tamper - (nc:a | 4.7k) - 4.7k", "intrusion"), ("wire:28m - joint:J9 - wire:6m - nc:a - 3.3k", "intrusion"),
    ("wire:22m - (nc:a | 3.3k) - (nc:b | 6.8k) - 2.2k", "intrusion"), ("wire:25m - no:a | wire:9m - no:b | 4.7k", "heat"),
    ("wire:27m - smoke:a | wire:8m - smoke:b | 4.7k", "smoke"), ("wire:19m - no:a | 47uF", "hold-up"), ("wire:22m - open", "technical"),
    ("wire:26m - sounder:a | 10k", "sounder"), (None, "intrusion"),
]
ACCESS = ["", "ladder 2.4 m", "key 4, ladder 3.4 m", "lift, after hours", "scaffold", "before 07:30 only"]


def drawn(draw):
    """A random job: circuits of every kind on modules of every kind, devices written down or not, rates, van."""
    text = ["format = 1\n"]
    if draw.random() < 0.8:
        text.append(f'[rates]\nhour = {draw.choice(["95", "61.37", "0.01"])}\ncrew = {draw.randint(1, 3)}\nday = "{draw.choice(["8 h", "7.5 h"])}"\n'
                    f'travel = {draw.choice(["60", "33.33"])}\nsecond_visit = 240.5\nmargin = "{draw.choice(["0 %", "15 %", "12.5 %"])}"\n')
    if draw.random() < 0.6:
        for value in draw.sample(["1k", "2.2k", "3.9k", "4.7k", "10k"], 3):
            text.append(f'[[van]]\npart = "resistor"\nvalue = "{value}"\ncount = {draw.randint(0, 12)}\n')
        text.append('[[van]]\npart = "input-8"\ncount = 1\n')
    text.append('[[enclosure]]\nid = "E1"\nprofile = "enclosure-large"\n[[enclosure]]\nid = "E2"\n')
    modules = [("M1", "input-12", "fixed-2k2", 12), ("M2", "input-16", draw.choice(["wide", None]), 16), ("M3", "input-8", None, 8)]
    for module, profile, mode, _ in modules:
        text.append(f'[[module]]\nid = "{module}"\nprofile = "{profile}"\nenclosure = "{draw.choice(["E1", "E2"])}"\n' + (f'mode = "{mode}"\n' if mode else ""))
    free = [f"{module}.{number}" for module, _, _, inputs in modules for number in range(1, inputs + 1)]
    draw.shuffle(free)
    devices = []
    for number in range(draw.randint(1, 24)):
        network, duty = draw.choice(NETWORKS)
        tag = f"C{number:02}"
        lines = [f'[[circuit]]\ntag = "{tag}"\nduty = "{duty}"']
        if network:
            lines.append(f'network = "{network}"')
            for name in dict.fromkeys(re.findall(r"(?:nc|no|smoke|sounder):(\w+)", network)):
                if draw.random() < 0.5:
                    device = f'[[device]]\nid = "{tag}/{name}"\n'
                    if duty in ("smoke", "heat"):
                        device += 'profile = "smoke-two-wire"\n' if duty == "smoke" else 'profile = "heat-fixed"\n'
                        device += f"made = {draw.choice([2008, 2011, 2014, 2016, 2017, 2024])}\n" if draw.random() < 0.7 else ""
                    device += f'access = "{draw.choice(ACCESS)}"\n' if draw.random() < 0.7 else ""
                    device += f"minutes = {draw.choice([0, 5, 12, 7.5])}\n" if draw.random() < 0.6 else ""
                    devices.append(device)
        if draw.random() < 0.5:
            lines.append(f'was = "zone {number}"')
        found = []
        if draw.random() < 0.7:
            found.append('{ when = "rest", ohms = "%s" }' % draw.choice(["2.21k", "4.68k", "998 ohm", "5.57k", "47.1 ohm", "open", "unstable", "10.1k", "1.36k"]))
        if network and "a" in network and draw.random() < 0.4:
            found.append('{ when = "%s", ohms = "open" }' % draw.choice(["tripped", "a"] if re.search(r":a\b", network) else ["tripped"]))
        if draw.random() < 0.1:
            found.append('{ when = "earth-a", ohms = "%s" }' % draw.choice(["62k", "20k"]))
        # A pair without a network is not told what it is by a reading at rest alone.
        found = found[:1] if network is None else found
        if found:
            lines.append(f"found = [{', '.join(found)}]")
        if duty != "sounder" and free and draw.random() < 0.85:
            lines.append(f'input = "{free.pop()}"')
        else:
            lines.append('ends_in = "E1"')
        text.append("\n".join(lines) + "\n")
    if draw.random() < 0.5:
        battery = draw.choice(["vrla-12v-7ah", "vrla-12v-4ah"])
        text.append(f'[[supply]]\nid = "P1"\nenclosure = "E1"\nprofile = "{draw.choice(["psu-12v-2a", "psu-24v-3a"])}"\nbattery = "{battery}"\nstrings = {draw.randint(1, 2)}\n'
                    f'fuse = "5 A"\ntransformer = "transformer-18v-50va"\ntransformer_cable = "{draw.choice(["4 m", "3.2 m"])} of 18 AWG"\n'
                    f'runs = [ {{ from = "P1", to = "J1", cable = "{draw.randint(5, 60)} m of {draw.choice(["22 AWG", "18 AWG"])}" }} ]\n'
                    f'loads = [ {{ at = "J1", name = "lamp", standby = "20 mA", alarm = "{draw.choice(["50 mA", "500 mA"])}", minimum = "10 V" }}, {{ at = "P1", device = "keypad", count = {draw.randint(1, 3)} }} ]\n')
    if draw.random() < 0.5:
        text.append('[panel]\nprofile = "panel-64"\n[station]\naccount = "4401"\n[[output]]\nid = "M1.S1"\n')
    return "\n".join(text + devices)


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
