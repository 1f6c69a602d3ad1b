"""What the kit says, held against what kit.py counts: its lines, its batteries, its bill."""
import math
from fractions import Fraction

from kit_data import number_of, ohms, price_of


def batteries(tally, name, job, answer, kit, count):
    """No battery is sold without a word that the assessment calls too small; one in its place is as large as the rules ask."""
    for supply, found in zip(job.get("supply", []), answer["supplies"]):
        of = lambda codes: [f for f in answer["findings"] if f["where"] == supply["id"] and f["code"] in codes]
        wrong = of(("battery-too-small", "battery-ends-early", "charger-too-strong"))
        open_points = [f for f in kit["findings"] if f["where"] == supply["id"] and f["code"] == "kit-supply-open"]
        sold = count.larger(supply)
        tally.check(f"{name}: {supply['id']} with too small a battery is told", not wrong or sold or open_points, wrong)
        if sold is None:
            continue
        of_profile = lambda profile: [number_of(count.library.profiles[profile][key]) for key in ("volts", "capacity")]
        (volts, size), (old_volts, old_size) = of_profile(sold), of_profile(supply["battery"])
        size_of_all = size * supply.get("strings", 1)
        tally.check(f"{name}: {sold} is larger, and wanted", wrong and volts == old_volts and size > old_size, (sold, supply["battery"]))
        tally.check(f"{name}: {sold} is what the rules ask for", size_of_all >= (found["required_ah"] or 0), found["required_ah"])
        tally.check(f"{name}: {sold} is said to the customer", any(sold in text for text in kit["quotation"]["cautions"]))


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
    adds = sum(one["adds_hundredths"] for one in kit["spread"])
    tally.check(f"{name}: the least and the causes are the most", total[0] + adds == total[1], f"{adds} {total}")
