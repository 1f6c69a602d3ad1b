#!/usr/bin/env python3
"""Outside source: a dense grid. Learned modes (the reading is R now / R when it learned) and modes with edges in
volts or in percent of the source.

What both moments share, the grid runs through once: every resistor's and every unknown length's true value. What
may differ between them, it takes at both ends for each moment: contacts and cable temperature (methods.md, 4). For
volts the grid runs through source, pull-up and every corner of the network, and asks each point by itself which
band it reads: no interval anywhere, so the source is shared as it is in the hardware.

A case that comes within 0.05 % of an edge is not counted: there the grid, not the program, is the coarse one.
"""
import argparse
import itertools
import math
import random
import sys

from harness import Job, Tally, states_of
from reference import Assume, Band, Mode, bounds, copper_ohm_per_m, evaluate, meanings, parse, states, wanted

NEAR = 0.0005
GAUGE = (22, False)


def draw_network(rng):
    """Every form that has a finite value at rest; at most three shared unknowns, so that the grid stays dense."""
    r = lambda: f"{rng.choice([1, 1.5, 2.2, 3.3, 4.7, 5.6, 10])}k{rng.choice(['', ' 1 %', ' 5 %', ' 10 %'])}"
    length = rng.choice([15, 40, 120, 300])
    w = rng.choice([f"wire:{length}m", f"wire:{length}m@24AWG", f"wire:{length}..{length * 2}m", "wire:3.2ohm"])
    return rng.choice([
        lambda: f"{w} - nc:a - {r()}",
        lambda: f"{w} - nc:a - wire:80m - nc:b - {r()}",
        lambda: f"{w} - no:a | {r()}",
        lambda: f"{w} - no:a | wire:25m - no:b | {r()}",
        lambda: f"{w} - (nc:a | {r()}) - {r()}",
        lambda: f"{w} - nc:a.tamper - (nc:a | {r()}) - {r()}",
        lambda: f"{w} - (no:a - {r()}) | {r()}",
        lambda: f"wire:60m - (nc:a | {r()}) - (nc:a.fault | {r()}) - {r()}",
        lambda: f"wire:60m - (nc:a | {r()}) - (nc:b | {r()}) - {r()}",
        lambda: f"(nc:a - {r()}) | nc:b - {r()}",
        lambda: f"{r()} | {w} - nc:a - {r()}",
        lambda: f"({w} - nc:a) - (wire:33m - nc:b) - {r()}",
    ])()


# --- learned ----------------------------------------------------------------------------------------------------

def draw_learned(rng):
    while True:
        low, high, top = rng.uniform(0.4, 0.995), rng.uniform(1.005, 1.6), rng.uniform(1.7, 3.2)
        t = rng.choice([0, 0.005, 0.01, 0.03])
        bands = [Band("low", round(low, 3), "tamper"), Band("rest", round(high, 3), "normal")]
        if rng.random() < 0.5:
            bands.append(Band("active", round(top, 3), "alarm"))
        mode = Mode(bands + [Band("high", math.inf, rng.choice(["alarm", "tamper"]))], t, unit="learned")
        if all(a < b for a, b in (mode.band_edges(i, False) for i in range(len(mode.bands)))):
            return mode


def shared(network, a):
    """The unknowns that learning and today have in common: index of the leaf -> (least, greatest)."""
    out = {}
    for i, leaf in enumerate(network.leaves):
        if leaf.kind == "resistor":
            out[i] = bounds(leaf, frozenset(), a)
        elif leaf.length and leaf.length[0] != leaf.length[1]:
            out[i] = leaf.length
    return out


def with_values(network, common, active, hot, a):
    """One moment: shared unknowns as given; contacts and temperature all at their upper or all at their lower end."""
    for i, leaf in enumerate(network.leaves):
        if leaf.length:
            metres = common.get(i, leaf.length[0])
            yield (2 if leaf.kind == "wire" else 1) * metres * copper_ohm_per_m(leaf.gauge, a.hot if hot else a.cold)
        elif i in common:
            yield common[i]
        else:
            yield bounds(leaf, active, a)[1 if hot else 0]


def extreme_ratio(network, active, greatest, a):
    """Least or greatest R now / R learned: grid of 9 points a value, then twice a finer grid around the best point."""
    unknowns = shared(network, a)
    spans = dict(unknowns)
    best, where = None, None
    for _ in range(3):
        axes = [[low + (high - low) * k / 8 for k in range(9)] for low, high in spans.values()]
        for point in itertools.product(*axes):
            common = dict(zip(spans, point))
            now = evaluate(network.program, with_values(network, common, active, greatest, a))
            then = evaluate(network.program, with_values(network, common, frozenset(), not greatest, a))
            ratio = now / then
            if best is None or (ratio > best if greatest else ratio < best):
                best, where = ratio, common
        if math.isinf(best):
            break
        for i, (low, high) in unknowns.items():
            step = (spans[i][1] - spans[i][0]) / 8
            spans[i] = (max(low, where[i] - step), min(high, where[i] + step))
    return best


def near_edge(mode, values, scale=1.0):
    for band in mode.bands[:-1]:
        for t in (mode.edge_tolerance, -mode.edge_tolerance):
            edge = band.below * (1 + t) * scale
            if any(abs(v - edge) <= NEAR * edge for v in values if not math.isinf(v)):
                return True
    return False


def learned(tally, rng, count):
    a = Assume()
    job, drawn = Job(), []
    for m in range(count // 6):
        mode = draw_learned(rng)
        job.module(f"L{m}", [("m", mode)], "m")
        for _ in range(6):
            text = draw_network(rng)
            tag = f"L{len(drawn):04d}"
            job.circuit(tag, text, f"L{m}", GAUGE)
            drawn.append((tag, text, parse(text, GAUGE), mode))
    circuits, _ = job.assess()
    for tag, text, network, mode in drawn:
        got, means = states_of(circuits[tag]), meanings(mode, network)
        masks, doubtful = False, False
        for active in states(network):
            ratio = tuple(extreme_ratio(network, active, greatest, a) for greatest in (False, True))
            name = f"{tag} {text!r} {sorted(active)}: {ratio[0]:.5f}..{ratio[1]:.5f} of the value learned, {describe(mode)}"
            if near_edge(mode, ratio):
                tally.skipped += 1
                doubtful = True
                continue
            if active:
                masks |= any(means[i] == "normal" for i in mode.may_read(ratio))
            compare_state(tally, name, got[active], mode, mode.band_of(ratio), means, active)
        # No drawn network has more than two contacts, so the states above are all the sets there are.
        if not doubtful:
            tally.check(f"{tag} {text!r} {describe(mode)}: masking", circuits[tag]["masking"]["possible"] is masks,
                        f"got {circuits[tag]['masking']}, want {masks}")


# --- volts ------------------------------------------------------------------------------------------------------

def draw_volts(rng):
    while True:
        nominal = rng.choice([3.3, 5, 12])
        unit = rng.choice(["volt", "percent"])
        scale = nominal if unit == "volt" else 1
        cuts = sorted(rng.uniform(0.05, 0.85) for _ in range(rng.choice([2, 3])))
        names = [("short", "trouble"), ("rest", "normal"), ("active", "alarm")][:len(cuts)]
        bands = [Band(name, round(cut * scale, 3), means) for (name, means), cut in zip(names, cuts)]
        mode = Mode(bands + [Band("open", math.inf, "alarm" if len(cuts) == 2 else "tamper")],
                    rng.choice([0, 0.005, 0.01, 0.02]), unit, (nominal, rng.choice([0.01, 0.02, 0.05])),
                    (rng.choice([1000, 2200, 4700, 10000]), rng.choice([0.01, 0.05])))
        if all(wide_enough(mode, i) for i in range(len(mode.bands))):
            return mode


def wide_enough(mode, index):
    """Some resistor reads this band whatever the source and the pull-up: a narrower one tests nothing but `null`."""
    low, high = mode.band_edges(index, False)
    (_, vt), (_, pt) = mode.source, mode.pull_up
    if mode.unit == "percent" or math.isinf(high):
        vt = 0.0
    volts = mode.source[0] if mode.unit == "volt" else 1.0

    def ohms(edge, source, pull):    # V = Vs R / (R + Rp), turned round
        return math.inf if edge >= source else edge * pull / (source - edge)
    return ohms(low, volts * (1 - vt), 1 + pt) < ohms(high, volts * (1 + vt), 1 - pt)


def point_verdict(mode, ohms):
    """Every (source, pull-up, corner) by itself: the band that all of them read surely, if there is one, and
    whether a point came too near to an edge."""
    (volts, vt), (pull, pt) = mode.source, mode.pull_up
    sure, near = set(), False
    for i in range(9):
        source = volts * (1 + vt * (i - 4) / 4)
        scale = source if mode.unit == "percent" else 1.0
        for j in range(9):
            resistance = pull * (1 + pt * (j - 4) / 4)
            for r in ohms:
                reading = source if math.isinf(r) else source * r / (r + resistance)
                inside = [k for k in range(len(mode.bands))
                          if mode.band_edges(k, False)[0] * scale <= reading <= mode.band_edges(k, False)[1] * scale]
                sure.add(inside[0] if inside else None)
                near |= near_edge(mode, [reading], scale)
    return (sure.pop() if len(sure) == 1 else None), near


def volts(tally, rng, count):
    a = Assume()
    job, drawn = Job(), []
    for m in range(count // 6):
        mode = draw_volts(rng)
        job.module(f"V{m}", [("m", mode)], "m")
        for _ in range(6):
            text = draw_network(rng)
            tag = f"V{len(drawn):04d}"
            job.circuit(tag, text, f"V{m}", GAUGE)
            drawn.append((tag, text, parse(text, GAUGE), mode))
    circuits, _ = job.assess()
    for tag, text, network, mode in drawn:
        got, means = states_of(circuits[tag]), meanings(mode, network)
        for active in states(network):
            ends = [sorted(set(bounds(leaf, active, a))) for leaf in network.leaves]
            ohms = sorted({evaluate(network.program, corner) for corner in itertools.product(*ends)})
            sure, near = point_verdict(mode, {ohms[0], ohms[len(ohms) // 2], ohms[-1]})
            name = f"{tag} {text!r} {sorted(active)}: {ohms[0]:.2f}..{ohms[-1]:.2f} ohm, {describe(mode)}"
            if near:
                tally.skipped += 1
            else:
                compare_state(tally, name, got[active], mode, sure, means, active)


def describe(mode):
    edges = " ".join(f"{band.name}<{band.below:g}" for band in mode.bands[:-1])
    return f"[{edges} {mode.bands[-1].name}, {mode.unit}, edges ±{mode.edge_tolerance * 100:g} %, source {mode.source}, pull-up {mode.pull_up}]"


def compare_state(tally, name, state, mode, band, means, active):
    want = None if band is None else mode.bands[band].name
    tally.check(f"{name}: band", state["band"] == want, f"got {state['band']}, want {want}")
    good = band is not None and means[band] in wanted(active)
    tally.check(f"{name}: ok", state["ok"] is good, f"got {state['ok']}, want {good}")


def main():
    options = argparse.ArgumentParser()
    options.add_argument("--seed", type=int, default=8)
    options.add_argument("--count", type=int, default=180)
    given = options.parse_args()
    rng, tally = random.Random(given.seed), Tally()
    learned(tally, rng, given.count)
    volts(tally, rng, given.count)
    return tally.finish()


if __name__ == "__main__":
    sys.exit(main())
