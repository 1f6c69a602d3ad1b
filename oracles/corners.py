#!/usr/bin/env python3
"""Outside source: brute force. Every corner of every tolerance (at most 10 varying elements), in every state.

The program evaluates twice, all low and all high; this enumerates all 2^k mixtures of ends instead, with the open
contact's upper end as infinity, and wants the same interval to 1e-12. Slack, band, meaning and `ok` of each state
are then derived from the corner interval by the reference and compared too.
"""
import argparse
import itertools
import math
import sys

from harness import Job, Tally, states_of
from random_networks import Generator
from reference import Assume, Band, Mode, bounds, evaluate, meanings, parse, states, wanted

# The tails of the rules: three bands (rule 2), four and five (rule 3), with and without edge tolerance.
MODES = {
    "one": Mode([Band("short", 1200, "trouble"), Band("rest", 3400, "normal"), Band("open", math.inf, "alarm")]),
    "edge": Mode([Band("short", 2400, "trouble"), Band("rest", 7000, "normal"), Band("open", math.inf, "alarm")], 0.03),
    "two": Mode([Band("short", 1760, "tamper"), Band("rest", 3080, "normal"), Band("active", 5280, "alarm"),
                 Band("open", math.inf, "tamper")], 0.01),
    "fire": Mode([Band("short", 90, "trouble"), Band("fire", 900, "alarm"), Band("high", 2000, "trouble"),
                  Band("rest", 9000, "normal"), Band("open", math.inf, "trouble")], 0.02),
}
# Odd on purpose: other assumptions than the defaults, so that a default written into the program would show.
OTHER = Assume(cold=-20, hot=55, contact_closed_max=2.5, contact_open_min=3e5, resistor_tolerance=0.1, joint_max=1.5,
               smoke_dry_min=2.2e5, length_tolerance=0.2, gauge=(24, False))
OTHER_TOML = '''[site]
cable_temperature = "-20 C to 55 C"
[assume]
contact_closed_max = "2.5 ohm"
contact_open_min = "300 kohm"
resistor_tolerance = "10 %"
joint_max = "1.5 ohm"
smoke_dry_min = "220k"
length_tolerance = "20 %"
cable = "24 AWG"
'''


def corner_interval(network, active, a):
    ends = [sorted(set(bounds(leaf, active, a))) for leaf in network.leaves]
    values = [evaluate(network.program, corner) for corner in itertools.product(*ends)]
    return min(values), max(values)


def compare(tally, seed, count, a, head):
    generator = Generator(seed, max_leaves=12, smoke=True)
    job = Job(head)
    for mode_id in MODES:
        job.module(f"M-{mode_id}", list(MODES.items()), mode_id)
    drawn = []
    while len(drawn) < count:
        text, _, gauge = generator.network()
        own_gauge = generator.rng.random() < 0.7
        network = parse(text, gauge if own_gauge else a.gauge)
        if sum(len(set(bounds(leaf, frozenset(), a))) > 1 for leaf in network.leaves) > 10:
            continue
        mode_id = generator.rng.choice(list(MODES))
        given = generator.rng.choice([None, None, None, {"open": "tamper"}, {"short": "alarm", "open": "trouble"}])
        tag = f"C{len(drawn):04d}"
        extra = "" if not given else "means = { " + ", ".join(f'{k} = "{v}"' for k, v in given.items()) + " }\n"
        job.circuit(tag, text, f"M-{mode_id}", gauge if own_gauge else None, extra=extra)
        drawn.append((tag, text, network, MODES[mode_id], given))
    circuits, _ = job.assess()
    for tag, text, network, mode, given in drawn:
        got = states_of(circuits[tag]) if tag in circuits else {}
        means = meanings(mode, network, given)
        # Rule 2 leaves open what a circuit with fault contacts alone is; its outer bands are not compared.
        kinds = {contact.split(".")[1] if "." in contact else "alarm" for contact in network.contacts}
        rule_two_open = len(mode.bands) == 3 and kinds == {"fault"}
        for active in states(network):
            name = f"{tag} {text!r} with {sorted(active)} active"
            if not tally.check(f"{name}: the state is there", active in got):
                continue
            low, high = corner_interval(network, active, a)
            state = got[active]
            tally.near(f"{name}: low corner", state["ohms"]["lo"], low, relative=1e-12)
            tally.near(f"{name}: high corner", state["ohms"]["hi"], high, relative=1e-12)
            band = mode.band_of((low, high))
            tally.check(f"{name}: band", state["band"] == (None if band is None else mode.bands[band].name),
                        f"got {state['band']}, want {band} for {low}..{high}")
            if rule_two_open and band in (0, 2):
                continue
            meant = None if band is None else means[band]
            tally.check(f"{name}: means", state["means"] == meant, f"got {state['means']}, want {meant}")
            good = band is not None and meant in wanted(active)
            tally.check(f"{name}: ok", state["ok"] is good, f"got {state['ok']}, want {good} (reads as {meant})")
            if band is not None:
                least, most = mode.band_edges(band, widened=False)
                # Null where there is no edge: below the lowest band, above the highest.
                last = len(mode.bands) - 1
                tally.near(f"{name}: slack below", state["slack"]["below"], low - least if band else math.inf, absolute=1e-6)
                tally.near(f"{name}: slack above", state["slack"]["above"], most - high if band < last else math.inf, absolute=1e-6)


def main():
    options = argparse.ArgumentParser()
    options.add_argument("--seed", type=int, default=4711)
    options.add_argument("--count", type=int, default=250)
    given = options.parse_args()
    tally = Tally()
    compare(tally, given.seed, given.count, Assume(), "")
    compare(tally, given.seed + 1, given.count, OTHER, OTHER_TOML)
    return tally.finish()


if __name__ == "__main__":
    sys.exit(main())
