#!/usr/bin/env python3
"""Works out the growth model a second way, for tests/reference/growth/model.json.

The program takes the litter's deviation apart from the pup's and solves small systems. Here the whole
litter is one multivariate normal vector: every covariance between two weights of two pups is
written down, and the forecast is the conditional distribution by numpy's and scipy's general solvers. The
wandering rate's covariance is not taken from its closed form but integrated numerically.

Needs numpy and scipy. Run: python3 tests/outside/growth_model.py > tests/reference/growth/model.json
"""

import json
from functools import cache

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

# The Gompertz curve of a male Labrador (31.4 kg, 4b + c = 327 days) through 5.5 kg at day 56, by root finding.
g, w_max = 327.0, 31400.0
c = brentq(lambda c: w_max * np.exp(-np.exp(-(56 - c) / ((g - c) / 4))) - 5500, 10, 200)

print(json.dumps({
    "source": "tests/outside/growth_model.py with numpy and scipy; invented weights; no licence needed",
    "adult_weight_g": adult_kg * 1000,
    "weights": [{"pup": p, "age_days": a, "weight_g": w} for p, a, w in rows],
    "forecasts": forecasts,
    "gompertz": {"adult_weight_g": w_max, "growth_days": g, "age_days": 56, "weight_g": 5500, "c_days": c},
}, indent=1))
