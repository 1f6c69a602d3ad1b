"""Random jobs for kit.py: circuits of every kind on modules of every kind, devices written down or not, rates, van."""
import re

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
