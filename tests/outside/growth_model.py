#!/usr/bin/env python3
"""Works out the growth model a second way, for tests/reference/growth/model.json.

The early warning and the search for exchanged pups are followed here as their sources describe them: a
filter of three interacting models in matrices, and odds of two explanations of the same weights.

The program takes the litter's deviation apart from the pup's and solves small systems. Here the whole
litter is one multivariate normal vector: every covariance between two weights of two pups is
written down, and the forecast is the conditional distribution by numpy's and scipy's general solvers. The
wandering rate's covariance is not taken from its closed form but integrated numerically.

Needs numpy and scipy. Run: python3 tests/outside/growth_model.py > tests/reference/growth/model.json
"""

import json
from functools import cache
from statistics import median

import numpy as np
from scipy.integrate import dblquad, quad
from scipy.linalg import solve
from scipy.optimize import brentq

Z95 = 1.959963985
# Published norms, as in src/domain/rules/growth_norms.toml and birth_weights.toml (Labrador Retriever).
birth_mean, birth_sd = 409.9, 69.2
between, within_breed = 0.5, 0.20
wander_sd, wander_days, weighing_sd = 0.01, 1.5, 0.015
adult_kg = 29.0


def half(low, high):
    return (np.log1p(high) - np.log1p(low)) / 2 / Z95


def week_one_share(t):
    """Share of week 1's rate in the rate of an age: all to day 4, none from day 17.5 on."""
    return float(np.interp(t, [4.0, 17.5], [1.0, 0.0]))


def area(f, a, b):
    return quad(f, a, b, points=[p for p in (4.0, 17.5) if a < p < b] or None)[0] if b > a else 0.0


# The two rates whose means over days 1-7 and 7-28 are the published 8 % and 5 %.
share = [area(week_one_share, 1, 7) / 6, area(week_one_share, 7, 28) / 21]
rate_one, rate_later = np.linalg.solve(
    np.array([[share[0], 1 - share[0]], [share[1], 1 - share[1]]]), np.log([1.08, 1.05]))
mean = np.array([np.log(birth_mean), 0.0, rate_one, rate_later, 1.0])
sd = np.array([birth_sd / birth_mean, half(-0.1, 0.1), half(0.05, 0.10), half(0.035, 0.06), 2.0 / (2 * Z95 * 3.0)])
litter_sd = sd * np.sqrt(between)
litter_sd[0] = birth_sd / birth_mean
pup_sd = sd * np.sqrt(1 - between)
pup_sd[0] = within_breed * np.sqrt(1 - between)


@cache
def basis(t, late):
    return np.array([1.0, np.clip(t, 0, 1), area(week_one_share, 1, min(t, 28)),
                     area(lambda x: 1 - week_one_share(x), 1, min(t, 28)),
                     np.log1p(late * max(t - 28, 0.0))])


_memo = {}


def wander(a, b):
    key = (min(a, b), max(a, b))
    if key not in _memo:
        # cov of two integrals of a stationary Ornstein-Uhlenbeck rate; split at the kink of |u - v|.
        lo, hi = key
        rate = lambda u, v: wander_sd**2 * np.exp(-abs(u - v) / wander_days)
        if lo == 0:
            _memo[key] = 0.0
        else:
            below = dblquad(rate, 0, lo, 0, lambda v: v)[0]
            above = dblquad(rate, 0, lo, lambda v: v, hi)[0]
            _memo[key] = below + above
    return _memo[key]


def conditional(rows, pup, ages, late):
    """Mean and covariance of the log weights of `pup` at `ages` given rows of (pup, age, weight)."""

    def cov(p, a, q, b):
        x, y = basis(a, late), basis(b, late)
        c = np.sum(litter_sd**2 * x * y)
        if p == q:
            c += np.sum(pup_sd**2 * x * y) + wander(a, b)
        return c

    v = np.array([[cov(p, a, q, b) for q, b, _ in rows] for p, a, _ in rows])
    v += weighing_sd**2 * np.eye(len(rows))
    off = np.array([np.log(w) - mean @ basis(a, late) for _, a, w in rows])
    k = np.array([[cov(pup, t, q, b) for q, b, _ in rows] for t in ages])
    kk = np.array([[cov(pup, s, pup, t) for t in ages] for s in ages])
    mu = np.array([mean @ basis(t, late) for t in ages]) + k @ solve(v, off, assume_a="pos")
    return mu, kk - k @ solve(v, k.T, assume_a="pos")


litter = {
    1: [(0, 412.0), (1, 408.0), (2, 431.0), (3, 466.0), (5, 548.0), (6, 590.0)],
    2: [(0, 385.0), (1, 389.0), (2, 418.0), (3, 449.0), (4, 480.0), (5, 515.0), (6, 561.0)],
    3: [(0, 341.0), (2, 344.0), (3, 352.0), (6, 420.0)],
    4: [],
}
rows = [(p, float(a), w) for p, seen in litter.items() for a, w in seen]

# The litter's weight at day 28, by which the gain after week 4 is scaled: a pup never weighed has
# the litter's own mean.
mu28, _ = conditional(rows, 4, [28.0], 0.0)
late = 3.0 * adult_kg / np.exp(mu28[0])
forecasts = []
for pup in litter:
    ages = [2.0, 6.0, 7.0, 14.0, 28.0, 56.0]
    mu, cov = conditional(rows, pup, ages, late)
    for i, age in enumerate(ages):
        forecasts.append({"pup": pup, "age_days": age, "mean": mu[i], "variance": cov[i, i]})
    forecasts[-1]["gain_variance_7_to_14"] = cov[2, 2] + cov[3, 3] - 2 * cov[2, 3]

# The gain over the day and a half before the last weight, as the forecast tells it.
gains = []
for pup, last in ((1, 6.0), (3, 6.0)):
    mu, cov = conditional(rows, pup, [last - 1.5, last], late)
    variance = cov[0, 0] + cov[1, 1] - 2 * cov[0, 1]
    gains.append({"pup": pup, "mean": mu[1] - mu[0], "variance": variance})


def usual(a, b, late):
    """The usual rate between two ages: mean, variance between litters, between pups of one, and its wandering."""
    change = ((basis(b, late) - basis(a, late)) / (b - a))[1:]
    wandering = wander(b - a, b - a) / (b - a) ** 2
    return mean[1:] @ change, np.sum((litter_sd[1:] * change) ** 2), np.sum((pup_sd[1:] * change) ** 2), wandering


def windows(points):
    """Each weight of one a day with the one before it."""
    return list(zip(points, points[1:]))


# Rules of src/domain/rules/growth.toml, and shares of deaths of Labradors by birth weight (Mugnier 2020).
onset_early, onset_later, recovery, outlier = 0.037 / 7, 0.01 / 49, 0.1, 0.03
falters, falter_share, falter_sd, worsens, at_birth = 0.008, 0.6, 0.01, 0.3, 0.2
failing, failing_sd = -0.03, 0.03
# Spread of growth_norms.toml.
litter_day, litter_drift, pup_drift, supposed, least, most = 0.01, 0.004, 0.001, 10.0, 0.1, 3.0
died = lambda grams: 0.028 if grams >= 406 else 0.087 if grams >= 248 else 0.577
density = lambda x, m, v: np.exp(-((x - m) ** 2) / (2 * v)) / np.sqrt(2 * np.pi * v)
middle_error = lambda single, count: single * np.pi / (2 * count)


def rate_of(before, after):
    return np.log(after[1] / before[1]) / (after[0] - before[0])


class Litter:
    """What a litter's gains have in common: on one day, over the days, and in how noisy they are."""

    def __init__(self, series, step, late):
        self.series, self.late = series, late
        self.error = {w: weighing_sd**2 + (step / w) ** 2 / 12 for points in series.values() for _, w in points}
        self.noise = 1.0
        steps = [(pup, a, b) for pup, points in series.items() for a, b in windows(points)]
        self.of_day = {}
        for pup, a, b in steps:
            self.of_day.setdefault(int(b[0]), []).append((pup, a, b))
        beside = []
        for pup, a, b in steps:
            mates = self.mates(pup, b)
            if len(mates) >= 2:
                _, _, pups, wandering = usual(a[0], b[0], late)
                single = wandering + pups + self.scale(a, b)
                beside.append(abs(rate_of(a, b) - median(mates)) / np.sqrt(single + middle_error(single, len(mates))))
        if beside:
            seen = (median(beside) / 0.674489750196) ** 2
            learned = (supposed + len(beside) * seen) / (supposed + len(beside))
            self.noise = min(max(learned, least), most)
        self.before = self.paces()

    def scale(self, a, b):
        return self.noise * (self.error[a[1]] + self.error[b[1]]) / (b[0] - a[0]) ** 2

    def mates(self, pup, b):
        return [rate_of(x, y) for other, x, y in self.of_day[int(b[0])] if other != pup]

    def paces(self):
        known, before = None, {}
        for day in sorted(self.of_day):
            today = self.of_day[day]
            _, a, b = today[0]
            span = b[0] - a[0]
            _, litters, pups, wandering = usual(a[0], b[0], self.late)
            m, v = known or (0.0, litters)
            v = min(v + litter_drift**2 * span, litters)
            before[day] = known = (m, v)
            if len(today) >= 3:
                off = median([rate_of(x, y) - usual(x[0], y[0], self.late)[0] for _, x, y in today])
                single = wandering * self.noise + self.scale(a, b) + pups
                error = middle_error(single, len(today)) + litter_day**2 / span
                known = (m + v / (v + error) * (off - m), v * error / (v + error))
        return before

    def expected(self, pup, a, b):
        norm, _, pups, wandering = usual(a[0], b[0], self.late)
        m, v = self.before[int(b[0])]
        between, own, mates = v + litter_day**2 / (b[0] - a[0]), wandering * self.noise, self.mates(pup, b)
        if len(mates) < 2:
            return norm + m, between + own
        error = middle_error(own + pups + self.scale(a, b), len(mates))
        share = between / (between + error)
        return (1 - share) * (norm + m) + share * median(mates), between * error / (between + error) + own


def turns(age, span):
    """The matrix of turns between thriving, falling behind and failing."""
    within = lambda chance: 1 - (1 - chance) ** span
    f, x, r, w = within(falters), within(onset_early if age <= 7 else onset_later), within(recovery), within(worsens)
    w = min(w, 1 - r)
    return np.array([[(1 - f) * (1 - x), f * (1 - x), x], [r, 1 - r - w, w], [0, r, 1 - r]])


def risk(series, pup, step, late=0.0):
    """The chance that a pup does not thrive, with its last gain and the one expected, of a scale of such steps."""
    mates = Litter(series, step, late)
    age, grams = series[pup][0]
    behind = at_birth * (died(grams) if age <= 0.5 else 0.037)
    chance = np.array([1 - behind, behind / 2, behind / 2])
    paces = usual(1.0, 7.0, late)[2]
    state = [(np.array([np.log(grams), 0.0]), np.diag([mates.noise * mates.error[grams], paces]))] * 3
    see = np.array([[1.0, 0.0]])
    for before, after in windows(series[pup]):
        span = after[0] - before[0]
        expected, spread = mates.expected(pup, before, after)
        turn = turns(after[0], span)
        ahead = chance @ turn
        models = [(np.array([[1, span], [0, 1]]), expected, spread, pup_drift**2 * span),
                  (np.eye(2), falter_share * max(expected, 0), falter_sd**2, 0),
                  (np.eye(2), failing, failing_sd**2, 0)]
        new, likely = [], []
        for to, (move, rate, variance, drift) in enumerate(models):
            part = chance * turn[:, to] / ahead[to]
            m = sum(p * x for p, (x, _) in zip(part, state))
            c = sum(p * (cov + np.outer(x - m, x - m)) for p, (x, cov) in zip(part, state))
            m = move @ m + np.array([rate * span, 0])
            c = move @ c @ move.T + np.diag([variance * span**2, drift])
            off = np.log(after[1]) - (see @ m)[0]
            usual_v = (see @ c @ see.T)[0, 0] + mates.noise * mates.error[after[1]]
            far_v = usual_v + 0.1**2
            two = [(1 - outlier) * density(off, 0, usual_v), outlier * density(off, 0, far_v)]
            gain = (c @ see.T)[:, 0] * sum(t / v for t, v in zip(two, (usual_v, far_v))) / sum(two)
            likely.append(sum(two))
            new.append((m + gain * off, c - np.outer(gain, (see @ c)[0])))
            if to == 0:
                beyond = off >= 0
        likely = np.array([min(x, likely[0]) for x in likely] if beyond else likely)
        chance = ahead * likely / (ahead @ likely)
        state = new
    return {"pup": pup, "probability": chance[1:].sum(), "gain": np.expm1(rate_of(before, after)),
            "expected": np.expm1(expected)}


# Ages in days; invented. Grams: one falls behind its mates, another is weighed at odd hours. Tens: a scale
# of ten grams. Alone: nobody beside it. Later: over day 7 and, with the gain of week 5, day 28.
watched = {
    "grams": (1.0, {
        1: [(0, 412), (1, 405), (2.25, 404), (3, 401), (4, 398)],
        2: [(0, 431), (1, 433), (2, 462), (3, 497), (4, 533)],
        3: [(0, 398), (1, 396), (2, 421), (3.5, 466), (4, 481)],
        4: [(0, 377), (1, 380), (2, 407), (3, 438), (4, 471)],
        5: [(0, 247), (1, 249), (2, 263), (3, 281), (4, 302)],
    }),
    "tens": (10.0, {
        1: [(0, 410), (1, 400), (2, 400), (3, 410)],
        2: [(0, 430), (1, 430), (2, 460), (3, 500)],
        3: [(0, 400), (1, 400), (2, 420), (3, 450)],
    }),
    "alone": (1.0, {1: [(0, 403), (1, 391), (2.5, 388), (3, 387)]}),
    "later": (1.0, {
        1: [(6, 611), (7, 651), (8, 648), (9, 652)],
        2: [(6, 640), (7, 688), (8, 733), (9, 782)],
        3: [(6, 590), (7, 640), (8, 688), (9, 736)],
    }),
    "week 5": (1.0, {
        1: [(0, 411), (26, 1803), (28, 1951), (30, 1958), (31, 1949)],
        2: [(0, 405), (26, 1741), (28, 1893), (30, 2049), (31, 2137)],
    }),
}
risks = []
for name, (step, series) in watched.items():
    late_gain = 0.0
    if name == "week 5":
        early = [(p, float(a), w) for p, points in series.items() for a, w in points if a <= 28]
        late_gain = 3.0 * adult_kg / np.exp(conditional(early, 0, [28.0], 0.0)[0][0])
    risks.append({
        "litter": name,
        "weights": [{"pup": p, "age_days": a, "weight_g": w} for p, points in series.items() for a, w in points],
        "risks": [risk(series, pup, step, late_gain) for pup in series],
    })


def swap(series, pair):
    """The days on which two pups seem exchanged, with the log of the odds."""
    on_day = {}
    for points in series.values():
        for a, b in windows(points):
            on_day.setdefault(int(b[0]), []).append(np.log(b[1] / a[1]) / (b[0] - a[0]))
    middle = {day: median(found) for day, found in on_day.items() if len(found) >= 4}

    def step(a, b):
        days = b[0] - a[0]
        expected, litters, pups, wandering = usual(a[0], b[0], 0.0)
        pups += wandering
        if int(b[0]) in middle:
            expected, litters = middle[int(b[0])], 0.0
        return expected * days, 2 * weighing_sd**2 + (litters + pups) * days**2

    one, two = (dict(series[pup]) for pup in pair)
    truth, total, found = None, 0.0, []
    for day in sorted(set(one) & set(two)):
        now = np.log([one[day], two[day]])
        if truth:
            off = []
            for before, seen in ((truth[0], now), (truth[1], now)):
                gain, variance = step(before, (day, 0))
                off.append((seen - before[1] - gain) ** 2 / variance)
            straight, crossed = off[0][0] + off[1][1], off[0][1] + off[1][0]
            odds = (straight - crossed) / 2 if crossed < 9 else 0.0
            if odds >= 6.0:
                found.append(day)
                total += odds
                now = now[::-1]
        truth = [(day, now[0]), (day, now[1])]
    return {"pups": pair, "days": found, "log_odds": total}


def exchanged(births, days):
    """Litters that grow by 7 % a day, the first two pups written down for one another on some days."""
    series = {pup: [(day, round(grams * 1.07 ** (max(day, 1) - 1))) for day in range(10)]
              for pup, grams in births.items()}
    for day in days:
        series[1][day], series[2][day] = series[2][day], series[1][day]
    return series


swaps = []
for births in ({1: 400, 2: 500, 3: 405, 4: 450, 5: 480}, {1: 400, 2: 500, 3: 450}):
    for days in ([6], [7, 8, 9]):
        series = exchanged(births, days)
        swaps.append({"births": list(births.values()), "exchanged": days, **swap(series, [1, 2])})

# The Gompertz curve of a male Labrador (31.4 kg, 4b + c = 327 days) through 5.5 kg at day 56, by root finding.
g, w_max = 327.0, 31400.0
c = brentq(lambda c: w_max * np.exp(-np.exp(-(56 - c) / ((g - c) / 4))) - 5500, 10, 200)

print(json.dumps({
    "source": "tests/outside/growth_model.py with numpy and scipy; invented weights; no licence needed",
    "adult_weight_g": adult_kg * 1000,
    "weights": [{"pup": p, "age_days": a, "weight_g": w} for p, a, w in rows],
    "forecasts": forecasts,
    "gains": gains,
    "risks": risks,
    "swaps": swaps,
    "gompertz": {"adult_weight_g": w_max, "growth_days": g, "age_days": 56, "weight_g": 5500, "c_days": c},
}, indent=1))
