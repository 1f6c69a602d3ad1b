#!/usr/bin/env python3
"""Outside source: brute force over every subset of active contacts (at most 10), shared devices and tampers included.

The program keeps unions of intervals; this asks every one of the 2^n sets by itself.
"""
import argparse
import math
import sys

from harness import Job, Tally
from random_networks import Generator
from reference import Assume, Band, Mode, masking_sets, meanings, parse

MODES = {
    "one": Mode([Band("short", 1200, "trouble"), Band("rest", 3400, "normal"), Band("open", math.inf, "alarm")]),
    "wide": Mode([Band("short", 1500, "trouble"), Band("rest", 12000, "normal"), Band("open", math.inf, "alarm")], 0.05),
    "two": Mode([Band("short", 1760, "tamper"), Band("rest", 3080, "normal"), Band("active", 5280, "alarm"),
                 Band("open", math.inf, "tamper")], 0.02),
    "fire": Mode([Band("short", 90, "trouble"), Band("fire", 900, "alarm"), Band("high", 2000, "trouble"),
                  Band("rest", 9000, "normal"), Band("open", math.inf, "trouble")], 0.03),
    # Two bands that mean normal, with an alarm between them.
    "split": Mode([Band("short", 800, "trouble"), Band("low", 2600, "normal"), Band("step", 4200, "alarm"),
                   Band("rest", 8000, "normal"), Band("open", math.inf, "alarm")], 0.01),
    "volts": Mode([Band("short", 1.3, "trouble"), Band("rest", 3.3, "normal"), Band("open", math.inf, "alarm")], 0.01,
                  unit="volt", source=(5, 0.02), pull_up=(2200, 0.01)),
}


def handmade():
    """Circuits in which masking is the point; the comment is the technician's reason."""
    return [
        ("nc:a - no:a | 2.2k - 2.2k", "one"),                                  # one device, two contacts together
        ("nc:pir - nc:pir.tamper - no:pir | 2.2k", "one"),
        ("(nc:a | 2.2k) - (nc:b | 2.2k) - (nc:c | 2.2k) - 2.2k", "two"),       # stepped: three make neither rest nor alarm
        ("wire:40m - (nc:a - 3.3k) | nc:b - 6.8k", "one"),                     # doubled: b open leaves a's resistor
        ("no:a - 4.7k | no:b - 4.7k | nc:c - 4.7k", "one"),                    # one off, another on: same ohms
        ("no:a - 3.3k | nc:a - 3.3k", "wide"),                                 # change-over contact into equal resistors
        ("(nc:a | 1k) - (no:b | 4.7k) - 1k", "split"),                         # b's closing hides a's opening
        ("nc:a - no:a.tamper | 2.2k", "one"),                                  # independent though one device
        ("4.7k - nc:a", "fire"),
        ("2.2k | nc:a - 2.2k", "wide"),                                        # a resistor left in the old panel hides every door
        (" - ".join(f"(nc:c{i} | {r}k)" for i, r in enumerate((1, 1.5, 2.2, 3.3, 4.7, 1, 1.5, 2.2, 3.3))) + " - 1k", "split"),
        (" - ".join(f"(no:c{i} | 1k)" for i in range(8)) + " - (nc:x | 2.2k) - nc:c0 - 1k", "fire"),
    ]


def main():
    options = argparse.ArgumentParser()
    options.add_argument("--seed", type=int, default=99)
    options.add_argument("--count", type=int, default=300)
    given = options.parse_args()
    tally, a = Tally(), Assume()
    generator = Generator(given.seed, names=["a", "b", "c", "d", "e", "f"], measured=False, max_leaves=20)
    job = Job()
    for mode_id in MODES:
        job.module(f"M-{mode_id}", list(MODES.items()), mode_id)
    drawn = []
    for text, mode_id in handmade():
        drawn.append((text, (22, False), mode_id))
    while len(drawn) < given.count:
        text, _, gauge = generator.network()
        if 1 <= len(parse(text, gauge).contacts) <= 10:
            drawn.append((text, gauge, generator.rng.choice(list(MODES))))
    for number, (text, gauge, mode_id) in enumerate(drawn):
        job.circuit(f"C{number:04d}", text, f"M-{mode_id}", gauge)
    # Too many sets to enumerate, but not to reason: 2.2k at the end, each of 200 contacts steps by R.
    # R = 1k: any one alone makes 3.2k +-5 %, inside 1.5..12k: ten singles. R = 10k: one makes at least
    # 2.09k + (9.5k across 1 Mohm = 9.41k) = 11.5k, far above 3.4k, and more only adds: none.
    steps = lambda ohms: " - ".join(f"(nc:c{i} | {ohms})" for i in range(200)) + " - 2.2k"
    job.circuit("steps-1k", steps("1k"), "M-wide")
    job.circuit("steps-10k", steps("10k"), "M-one")
    circuits, _ = job.assess()
    got = circuits["steps-1k"]["masking"]
    tally.check("200 steps of 1k: possible, complete, ten singles",
                got["possible"] is True and got["complete"] is True and [len(e) for e in got["examples"]] == [1] * 10, got)
    tally.check("200 steps of 10k: impossible, and complete",
                circuits["steps-10k"]["masking"] == {"possible": False, "examples": [], "complete": True}, circuits["steps-10k"]["masking"])
    masked = 0
    for number, (text, gauge, mode_id) in enumerate(drawn):
        network, mode = parse(text, gauge), MODES[mode_id]
        sets = {frozenset(chosen) for chosen in masking_sets(network, mode, meanings(mode, network), a)}
        masked += bool(sets)
        name = f"C{number:04d} {text!r} in mode {mode_id}"
        got = circuits[f"C{number:04d}"]["masking"]
        tally.check(f"{name}: possible", got["possible"] is bool(sets), f"got {got['possible']}, sets {sorted(map(sorted, sets))[:3]}")
        tally.check(f"{name}: complete", got["complete"] is True)
        examples = [frozenset(example) for example in got["examples"]]
        tally.check(f"{name}: every example masks", set(examples) <= sets, [sorted(e) for e in set(examples) - sets])
        tally.check(f"{name}: at most ten, none twice", len(examples) <= 10 and len(set(examples)) == len(examples))
        if sets:
            least = min(map(len, sets))
            tally.check(f"{name}: the smallest set is among them", least in map(len, examples),
                        f"smallest {least}, examples {[sorted(e) for e in examples]}")
            # "The smallest sets, at most 10": as many of the smallest size as there are, up to ten.
            wanted = min(10, sum(len(s) == least for s in sets))
            tally.check(f"{name}: all of the smallest size, up to ten", sum(len(e) == least for e in examples) >= wanted,
                        f"want {wanted} of size {least}, examples {[sorted(e) for e in examples]}")
    print(f"{masked} of {len(drawn)} circuits can mask")
    return tally.finish()


if __name__ == "__main__":
    sys.exit(main())
