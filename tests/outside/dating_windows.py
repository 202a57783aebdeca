#!/usr/bin/env python3
"""Works out windows of whelping a second way, for tests/reference/dating/windows.json.

Every day that the ovulation may have been on, in quarters of a day, is weighed by each piece of evidence
as src/domain/dating describes it; whelping comes 63 days later, give or take what pregnancies vary by. All
is summed straight out, with numpy's arrays and scipy's normal law, and the values of the rule table are
written down here again.

Needs numpy and scipy. Run: python3 tests/outside/dating_windows.py > tests/reference/dating/windows.json
"""

import json
from datetime import date, datetime

import numpy as np
from scipy.optimize import brentq, minimize_scalar
from scipy.stats import norm

GESTATION_SD, WIDE_SD, ERROR, REPEAT = 0.72, 4.0, 0.005, 0.25
EDGE_SD = np.sqrt(1.0**2 - GESTATION_SD**2)
EARLIEST, LATEST, LAST_EARLIEST = 57.0, 72.0, 50.0
RIPE = 63.0 - 2.5
SEMEN = {"natural": LATEST, "fresh": LATEST, "chilled": RIPE + 3.0, "frozen": RIPE + 1.0}
DAYS = {"lh_surge": 65.0, "progesterone_rise": 65.0, "dioestrus": 57.0}
# Of dams under 10 kg: measure at whelping in mm, mm a day.
SCANS = {"inner_chorionic_cavity": (68.68, 1.53), "biparietal": (25.11, 0.61)}
WEEKS = {("inner_chorionic_cavity", 4): (0.81, 0.931), ("inner_chorionic_cavity", 5): (0.677, 0.859),
         ("biparietal", 5): (0.786, 0.952), ("biparietal", 6): (0.789, 0.823), ("biparietal", 9): (0.509, 0.698)}
MIXED = (0.708, 0.861)
BREEDS = {"Labrador Retriever": 62.9, None: 65.0}


def within(days, sd):
    return 2 * norm.cdf(days / sd) - 1


def shares(one, two=None):
    """Deviations and weights of errors of which shares lie within 1 and 2 days, to the half day."""
    core = -1.5 / norm.ppf((1 - one) / 2)
    if two is None:
        return [(core, 1.0)]
    if within(2.5, core) <= two:
        miss = lambda sd: (within(1.5, sd) - one) ** 2 + (within(2.5, sd) - two) ** 2
        best = minimize_scalar(miss, bounds=(core / 2, core * 1.5), method="bounded", options={"xatol": 1e-10})
        return [(best.x, 1.0)]

    def mixed(sd):
        weight = (within(1.5, sd) - one) / (within(1.5, sd) - within(1.5, WIDE_SD))
        return [(sd, 1 - weight), (WIDE_SD, weight)]

    return mixed(brentq(lambda sd: sum(w * within(2.5, s) for s, w in mixed(sd)) - two, 0.2, core, xtol=1e-13))


def at(item):
    moment = datetime.fromisoformat(item["at"])
    return moment.toordinal() + (moment - datetime(moment.year, moment.month, moment.day)).seconds / 86400 - 0.5


def day(text):
    return date.fromisoformat(text).toordinal()


def around(item):
    """Expected day, errors, family, and whether the day itself was foretold; None when it dates no ovulation."""
    kind = item["kind"]
    if kind == "lh_surge":
        return day(item["on"]) + 65.0, shares(0.96), "lh", False
    if kind == "progesterone_rise":
        return day(item["on"]) + 65.0, shares(0.67, 0.90), "progesterone", False
    if kind == "dioestrus":
        return day(item["on"]) + 57.0, shares(0.88, 0.99), "dioestrus", False
    if kind == "ovulation":
        by_hormone = item["basis"] == "progesterone"
        sd = np.hypot(item["sd_days"], 1.0) if item["sd_days"] is not None else 2.1 if by_hormone else 1.0
        days, family = (63.1, "progesterone") if by_hormone else (63.0, "others")
        return day(item["on"]) + days, [(sd, 1.0)], family, False
    if kind == "ultrasound":
        top, per_day = SCANS[item["measure"]]
        before = (top - np.mean(item["values_mm"])) / per_day
        week = int((63 - before) // 7) + 1
        if item["measure"] == "biparietal":
            week = 6 if 6 <= week <= 8 else min(week, 9)
        return day(item["on"]) + before, shares(*WEEKS.get((item["measure"], week), MIXED)), "ultrasound", False
    if kind == "radiograph":
        return float(day(item["due_on"])), shares(0.369, 0.565), "others", True
    if kind == "forecast":
        errors = [(item["sd_days"], 1.0)] if item["sd_days"] else shares(*MIXED)
        return float(day(item["due_on"])), errors, "others", True
    return None


def deviation(errors):
    return np.sqrt(sum(w * s**2 for s, w in errors))


def window(case):
    today = day(case["today"])
    matings = [item for item in case["evidence"] if item["kind"] == "mating"]
    others = [item for item in case["evidence"] if item["kind"] != "mating"]
    shift = BREEDS[case["breed"]] - 65.0
    if case["chance_small_litter"] is not None:
        shift += 1.0 * (case["chance_small_litter"] - 0.374)
    # One anchor for all matings, one for each other piece, by day.
    anchors = ([("matings", matings)] if matings else []) + [(item["kind"], item) for item in others]
    when = lambda a: min(day(m["on"]) for m in a[1]) if a[0] == "matings" else (
        day(a[1]["on"]) if "on" in a[1] else day(a[1]["at"][:10]))
    anchors.sort(key=when)

    ends = []
    for kind, item in anchors:
        if kind == "matings":
            days = [day(m["on"]) for m in item]
            ends.append((min(days) + LAST_EARLIEST, max(days) + LATEST))
        elif "at" in item:
            silent = kind == "prewhelping_progesterone" and 2.74 <= item["ng_per_ml"] < 4.97
            ends.append((day(item["at"][:10]),) * 2 if silent else (at(item),) * 2)
        else:
            ends.append((around(item)[0],) * 2)
    low = min(a for a, _ in ends) - 25.0
    high = max([today] + [b for _, b in ends]) + 25.0
    count = int(np.ceil(high - low))
    first = today + int(np.floor(low - today))
    due = first - 0.5 + (np.arange(count * 4) + 0.5) / 4
    days = np.arange(first, first + count)
    flat = 1 / count
    comes = (norm.cdf((days[:, None] + 0.5 - due - shift) / GESTATION_SD)
             - norm.cdf((days[:, None] - 0.5 - due - shift) / GESTATION_SD))

    # The sharpest of a family that shares its errors counts fully, any other a quarter.
    powers = []
    for kind, item in anchors:
        own = None if kind == "matings" else around(item)
        power = 1.0
        if own and own[2] in ("progesterone", "ultrasound"):
            key = lambda a: (deviation(around(a)[1]), -day(a["on"]), around(a)[0])
            family = [a for a in others if around(a) and around(a)[2] == own[2]]
            power = 1.0 if min(family, key=key) is item else REPEAT
        powers.append(power)

    def of_ovulation(kind, item):
        if kind == "matings":
            met = lambda lag, a, b: norm.cdf((lag - a + 0.5) / EDGE_SD) * norm.cdf((b + 0.5 - lag) / EDGE_SD)
            none = np.prod([1 - met(due - day(m["on"]), EARLIEST, SEMEN[m["method"]]) for m in item], axis=0)
            stood = np.prod([met(due - day(m["on"]), LAST_EARLIEST, LATEST) for m in item
                             if m["method"] == "natural"] or [np.ones_like(due)], axis=0)
            return (1 - none) * stood + ERROR**2
        if (own := around(item)) is None:
            return np.ones_like(due)
        centre, errors, _, foretold = own
        left = [(np.sqrt(max(s**2 - GESTATION_SD**2, 0.01)), w) for s, w in errors]
        density = sum(w * norm.pdf(due, centre - (shift if foretold else 0.0), s) for s, w in left)
        return (1 - ERROR) * density + ERROR * flat

    def of_term(kind, item):
        if kind not in ("prewhelping_progesterone", "temperature_fall"):
            return np.ones(count)
        begin = at(item)
        after = lambda moment: np.clip(days + 0.5 - np.maximum(days - 0.5, moment), 0, None)
        if kind == "temperature_fall":
            by = lambda t: norm.cdf((np.maximum(t, begin) - begin - 21.5 / 24) / (5.4 / 24))
            return 0.85 * (by(days + 0.5) - by(days - 0.5)) + 0.15 * flat * after(begin)
        value = item["ng_per_ml"]
        if value >= 4.97:
            late = after(begin + 0.5)
            return late + 0.05 * (after(begin) - late)
        if value >= 2.74:
            return np.ones(count)
        hours, share = (24, 0.91) if value < 1.0 else (48, 0.95)
        mean = -hours / 24 / np.log(1 - share)
        waits = lambda t: np.exp(-np.clip(t - begin, 0, None) / mean)
        return (1 - ERROR) * (waits(days - 0.5) - waits(days + 0.5)) + ERROR * flat * after(begin)

    def combine(chosen):
        logs = sum(p * np.log(of_ovulation(*anchors[i])) for i, p in chosen)
        posterior = np.exp(logs - np.max(logs))
        weights = (comes @ posterior) * np.prod([of_term(*anchors[i]) for i, _ in chosen], axis=0)
        return weights / weights.sum(), posterior

    chances, posterior = combine(list(enumerate(powers)))
    own = [combine([(i, 1.0)])[0] for i in range(len(anchors))]
    variance = lambda p: p @ days.astype(float) ** 2 - (p @ days) ** 2
    information = []
    for (kind, item), power, p in zip(anchors, powers, own):
        near_term = kind == "prewhelping_progesterone"
        if near_term and item["ng_per_ml"] >= 4.97:
            information.append(0.95 * 0.5 * flat**2)
        elif near_term and item["ng_per_ml"] >= 2.74:
            information.append(0.0)
        else:
            information.append(power / max(variance(p), 1 / 12))
    counted = None
    if any(kind != "matings" and around(item) for kind, item in anchors):
        counted = float(due[np.searchsorted(np.cumsum(posterior), posterior.sum() / 2)] - 63.0)
    chances = np.where(days < today, 0.0, chances)
    chances /= chances.sum()
    listed = np.where(chances >= 1e-4, chances, 0.0)
    listed /= listed.sum()
    return {
        **case,
        "weights": [i / sum(information) for i in information],
        "counted_from_on": date.fromordinal(round(counted)).isoformat() if counted is not None else None,
        "overlaps": [float(np.minimum(a, b).sum()) for n, a in enumerate(own) for b in own[n + 1:]],
        "chances": [{"day": date.fromordinal(int(d)).isoformat(), "chance": c} for d, c in zip(days, listed) if c],
    }


def mating(on, method="natural"):
    return {"kind": "mating", "on": on, "method": method}


def told(kind, on, **more):
    return {"kind": kind, "on": on, **more}


def case(today, *evidence, breed=None, chance=None):
    return {"today": today, "breed": breed, "chance_small_litter": chance, "evidence": list(evidence)}


cases = [
    case("2024-02-01", told("lh_surge", "2024-01-01"), told("dioestrus", "2024-01-10"),
         mating("2024-01-02"), mating("2024-01-05")),
    case("2024-02-10", told("progesterone_rise", "2024-01-01"),
         told("ultrasound", "2024-02-01", measure="inner_chorionic_cavity", values_mm=[18.0, 19.5, 21.0]),
         told("ultrasound", "2024-02-03", measure="biparietal", values_mm=[6.5, 7.0]),
         breed="Labrador Retriever", chance=0.8),
    case("2024-03-02", mating("2024-01-01", "frozen"), mating("2024-01-03", "chilled"),
         {"kind": "temperature_fall", "at": "2024-03-02T20:15:00"}, chance=0.1),
    case("2024-03-01", told("ovulation", "2024-01-03", basis="progesterone", sd_days=1.5),
         told("progesterone_rise", "2024-01-02"), told("radiograph", "2024-02-28", due_on="2024-03-05"),
         told("forecast", "2024-02-20", due_on="2024-03-07", sd_days=None),
         {"kind": "prewhelping_progesterone", "at": "2024-03-01T09:30:00", "ng_per_ml": 6.0}, chance=0.9),
    case("2024-03-04", mating("2024-01-01"), mating("2024-01-04", "fresh"),
         {"kind": "prewhelping_progesterone", "at": "2024-03-03T18:00:00", "ng_per_ml": 3.1},
         {"kind": "prewhelping_progesterone", "at": "2024-03-04T08:00:00", "ng_per_ml": 0.8}),
    case("2024-03-06", told("ovulation", "2024-01-03", basis="other", sd_days=None),
         told("ovulation", "2024-01-04", basis="progesterone", sd_days=None),
         {"kind": "prewhelping_progesterone", "at": "2024-03-05T07:00:00", "ng_per_ml": 1.9},
         told("forecast", "2024-02-21", due_on="2024-03-11", sd_days=0.8), breed="Labrador Retriever"),
    case("2024-01-20", mating("2024-01-01")),
]
print(json.dumps({
    "source": "tests/outside/dating_windows.py with numpy and scipy; invented cases; no licence needed",
    "cases": [window(one) for one in cases],
}, indent=1))
