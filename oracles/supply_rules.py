#!/usr/bin/env python3
"""Outside sources: the published worked examples of battery sizing (worked-examples.md, B), the formulas of standby.md
on random currents, and what bad input must be told.

`supply_rules.py [--seed N] [--count N]`
"""
import argparse
import json
import pathlib
import sys
import tempfile

from harness import Tally, run
from supplies import number, rng
from supply_network import assess


def nfpa(margin, alarm_min):
    return lambda standby, alarm: margin * (standby * 24 + alarm * alarm_min / 60)


def bs(hours):
    def size(standby, alarm):
        plain = 1.25 * (hours * standby + alarm / 2)
        return plain if alarm <= plain / 20 else 1.25 * (hours * standby + 1.75 * alarm / 2)
    return size


def vde(hours):
    k_age, k_dis = 1.25 if hours <= 24 else 1, 1.1 if hours <= 12 else 1
    return lambda standby, alarm: (standby * hours + alarm * 0.5) * k_age * k_dis


def en(hours):
    return lambda standby, alarm: standby * (hours - 0.25) + alarm * 0.25


FORMULAS = {   # standby.md, 2: rule set, rule, formula
    ("us-fire", "premises-2019"): nfpa(1.20, 5), ("us-fire", "premises-2022"): nfpa(1.25, 5),
    ("us-fire", "voice-2019"): nfpa(1.20, 15), ("us-fire", "voice-2022"): nfpa(1.25, 15),
    ("us-fire", "remote-1999"): lambda s, a: s * 60 + a * 5 / 60, ("us-fire", "federal-older"): lambda s, a: s * 90 + a * 0.25,
    ("us-fire", "two-way-2022"): nfpa(1.25, 240), ("us-fire-household", "household"): lambda s, a: s * 24 + a * 4 / 60,
    ("us-intrusion-commercial", "mercantile"): lambda s, a: s * 4 + a * 0.25,
    ("us-intrusion-commercial", "bank"): lambda s, a: s * 72 + a * 0.25,
    ("uk-fire", "life"): bs(24), ("uk-fire", "property-unwatched"): bs(72), ("uk-fire", "generator"): bs(6),
    ("de-fire", "hours-4"): vde(4), ("de-fire", "hours-30"): vde(30), ("de-fire", "hours-72"): vde(72),
    ("eu-intrusion", "grade-1"): en(12), ("eu-intrusion", "grade-2"): en(12), ("eu-intrusion", "grade-3"): en(60),
    ("eu-intrusion", "grade-4"): en(60), ("eu-intrusion", "grade-3-reported"): en(30), ("eu-intrusion", "type-c"): en(720),
    ("au-fire", "as-2004"): lambda s, a: 1.25 * (24 * s + 0.66 * a), ("au-fire", "as-7240"): lambda s, a: 1.25 * (24 * s + 2 * a * 0.5),
}

# worked-examples.md: number, rule set, rule, local words, standby and alarm in A, what follows from the inputs, its step.
EXAMPLES = [
    ("B1", "us-fire", "premises-2019", "factor = 1.0", 0.25, 1.5, 6.125, 1e-9),
    ("B2", "us-fire", "premises-2019", "", 0.42, 3.8, 12.476, 5e-4),
    ("B3", "us-fire", "voice-2019", "", 0.5264, 3.6082, 16.2428, 1e-4),
    ("B4 (OFF: prints 1.874)", "us-fire", "premises-2019", 'alarm = "60 min"\nfactor = 1.25', 0.05, 0.3, 1.875, 1e-9),
    ("B5", "uk-fire", "life", "", 0.05, 0.3, 1.8281, 5e-5),
    ("B6, 12 h (OFF: prints 17.2)", "de-fire", "hours-30", 'hours = "12 h"', 0.9, 3.5, 17.256, 5e-4),
    ("B6, 24 h", "de-fire", "hours-30", 'hours = "24 h"', 0.9, 3.5, 29.1875, 5e-5),
    ("B6, 72 h", "de-fire", "hours-72", "", 0.9, 3.5, 66.55, 5e-3),
    ("B7", "au-fire", "as-2004", "", 0.35, 1.47, 11.7128, 1e-4),
    ("B8 (OFF between)", "eu-intrusion", "grade-2", "", 0.315, 0.765, 3.8925, 5e-5),
    ("B9", "eu-intrusion", "grade-3", "", 0.26, 0.26, 15.6, 1e-9),
]


def one(rules, rule, words, standby, alarm):
    text = (f'format = 1\nsite.rules = ["{rules}"]\n[[supply]]\nid = "P1"\n'
            f'loads = [{{ at = "P1", standby = "{number(standby)} A", alarm = "{number(alarm)} A" }}]\n'
            f'[[standby]]\nrules = "{rules}"\ntake = "{rule}"\nreason = "an example"\n{words}\n')
    return assess(text, {})["supplies"][0]


def sizes(tally, seed, count):
    for name, rules, rule, words, standby, alarm, want, step in EXAMPLES:
        tally.near(name, one(rules, rule, words, standby, alarm)["required_ah"], want, absolute=step)
    dice = rng(seed)
    for (rules, rule), formula in FORMULAS.items():
        for _ in range(count):
            standby, alarm = round(dice.uniform(0.02, 1.5), 3), round(dice.uniform(0.02, 6), 3)
            supply = one(rules, rule, "", standby, alarm)
            tally.near(f"{rules} {rule}, {standby} A, {alarm} A", supply["required_ah"], formula(standby, alarm), relative=1e-12)
            row = supply["rules"][0]
            tally.check(f"{rules} {rule}: clause, source, working", row["clause"] and row["source"] and len(row["working"]) >= 5, row)
    # Several at once: each with its own loads in alarm, the largest counts and is named.
    text = ('format = 1\nsite.rules = ["us-fire-household", "us-intrusion-commercial"]\n[[supply]]\nid = "P1"\nloads = ['
            '{ at = "P1", standby = "100 mA" }, { at = "P1", standby = "0 A", alarm = "9 A", alarm_in = ["intrusion"] }, '
            '{ at = "P1", standby = "0 A", alarm = "1 A", alarm_in = ["heat"] }]\n')
    supply = assess(text, {})["supplies"][0]
    by_rule = {row["rules"]: row for row in supply["rules"]}
    tally.near("the household rule carries the heat sounder alone", by_rule["us-fire-household"]["required_ah"], 2.4 + 1.1 * 4 / 60, relative=1e-12)
    tally.near("the burglar rule the siren alone", by_rule["us-intrusion-commercial"]["required_ah"], 0.4 + 9.1 * 0.25, relative=1e-12)
    tally.check("the largest counts", by_rule["us-intrusion-commercial"]["governs"] and supply["required_ah"] == by_rule["us-intrusion-commercial"]["required_ah"])


BAD = [   # the text, the line and column of the complaint, a word of it
    ('format = 1\nsite.rules = ["us-fires"]\n', 2, 15, "no rule set"),
    ('format = 1\n[[supply]]\nid = "P1"\nruns = [{ from = "J1", to = "J2", ohms = "1 ohm" }, { from = "J2", to = "J1", ohms = "1 ohm" }]\n', 4, 19, "fed by nothing"),
    ('format = 1\n[[supply]]\nid = "P1"\nruns = [{ from = "P1", to = "J1", ohms = "1 ohm" }, { from = "P1", to = "J1", ohms = "1 ohm" }]\n', 4, 73, "second run"),
    ('format = 1\n[[module]]\nid = "M1"\nfed_by = "M1.aux"\n', 4, 10, "feeds itself"),
    ('format = 1\n[[supply]]\nid = "P1"\nloads = [{ at = "P1", standby = "-20 mA" }]\n', 4, 34, ""),
    ('format = 1\n[[supply]]\nid = "P1"\nloads = [{ at = "P1", standby = "0 ohm" }]\n', 4, 34, "short"),
    ('format = 1\n[[supply]]\nid = "P1"\nloads = [{ at = "J9", standby = "1 mA" }]\n', 4, 18, "no supply point"),
    ('format = 1\n[[supply]]\nid = "P1"\nstrings = 0\n', 4, 11, "out of range"),
    ('format = 1\nsite.rules = ["us-fire"]\n[[standby]]\nrules = "us-fire"\ntake = "premises-2091"\nreason = "x"\n', 5, 8, "no standby rule"),
    ('format = 1\nsite.rules = ["us-fire"]\n[[standby]]\nrules = "us-fire"\nhours = "24 h"\n', 3, 1, "reason"),
    ('format = 1\n[[supply]]\nid = "P1"\nprofile = "vrla-12v-7ah"\n', 4, 12, "is a battery"),
    ('format = 1\n[[supply]]\nid = "P1"\nbattery = "vrla-12v-9ah"\n', 4, 12, "no battery profile"),
]


def errors(tally):
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        for text, line, column, word in BAD:
            (folder / "job.toml").write_text(text)
            ran = run(["assess", folder / "job.toml", "--json"])
            told = json.loads(ran.out)["errors"] if ran.code == 2 else []
            here = [error for error in told if error["line"] == line and abs(error["column"] - column) <= 1 and word in error["text"]]
            tally.check(f"bad input: {word or text[-40:]!r}", bool(here) and all(error["accept"] for error in here), f"exit {ran.code}: {told}")
        # A battery of nothing is no battery.
        (folder / "equipment").mkdir()
        (folder / "equipment/b.toml").write_text('id = "b"\nkind = "battery"\ntitle = "b"\nbasis = "x"\nvolts = "12 V"\ncapacity = "0 Ah"\n')
        (folder / "job.toml").write_text("format = 1\n")
        ran = run(["assess", folder / "job.toml", "--json", "--library", folder])
        told = json.loads(ran.out)["errors"] if ran.code == 2 else []
        tally.check("a battery of zero", any(error["line"] == 6 and "out of range" in error["text"] for error in told), told)


def main():
    arguments = argparse.ArgumentParser()
    arguments.add_argument("--seed", type=int, default=1840)
    arguments.add_argument("--count", type=int, default=4)
    arguments = arguments.parse_args()
    tally = Tally()
    sizes(tally, arguments.seed, arguments.count)
    errors(tally)
    return tally.finish()


if __name__ == "__main__":
    sys.exit(main())
