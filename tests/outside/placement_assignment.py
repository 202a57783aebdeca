"""Makes tests/reference/placement/assignment.json with scipy.optimize.linear_sum_assignment.

Random cost matrices with their least totals, and random waiting lists with the served buyers and
the wishes met by the objective of the placement proposal, written as one matrix of weights.

    pip install scipy && python tests/outside/placement_assignment.py
"""

import json
import pathlib
import random

import numpy
from scipy.optimize import linear_sum_assignment

SEXES, COLOURS, PURPOSES = ["female", "male"], ["black", "red", "sable"], ["companion", "working"]
WISHES = ["sex", "colour", "purpose"]


def matrices(draw, count):
    problems = []
    for _ in range(count):
        rows = draw.randint(1, 12)
        columns = rows + draw.randint(0, 4)
        cost = [[draw.randint(-99, 99) for _ in range(columns)] for _ in range(rows)]
        picked_rows, picked = linear_sum_assignment(numpy.array(cost))
        least = sum(cost[r][c] for r, c in zip(picked_rows, picked))
        problems.append({"cost": cost, "least": int(least)})
    return problems


def buyer(draw):
    values = dict(zip(WISHES, map(draw.choice, (SEXES, COLOURS, PURPOSES))))
    wishes = {wish: value for wish, value in values.items() if draw.random() < 0.7}
    return wishes | {"must": [wish for wish in wishes if draw.random() < 0.4]}


def pup(draw):
    return {
        "sex": draw.choice(SEXES),
        "colour": draw.choice(COLOURS + [None]),
        "suited_for": draw.sample(PURPOSES, draw.randint(0, 2)),
    }


def met(wishes, pup):
    found = []
    for wish in WISHES:
        has = pup["suited_for"] if wish == "purpose" else [pup[wish]]
        if wish in wishes and wishes[wish] in has:
            found.append(wish)
    return found


def proposal(draw):
    buyers = [buyer(draw) for _ in range(draw.randint(1, 7))]
    pups = [pup(draw) for _ in range(draw.randint(1, 7))]
    n, m = len(buyers), len(pups)
    # One wish outweighs all weights by place; serving a buyer outweighs all the wishes there are and
    # all buyers behind.
    one_wish = 3 * n * n + 1
    all_wishes = 3 * n * one_wish + one_wish
    never = 2.0**45
    gain = numpy.zeros((n, m + n))
    for i, wishes in enumerate(buyers):
        for j, candidate in enumerate(pups):
            found = met(wishes, candidate)
            if all(must in found for must in wishes["must"]):
                gain[i, j] = 2 ** (n - i) * all_wishes + len(found) * (one_wish + n - i)
            else:
                gain[i, j] = -never
    assert gain.max() * n < 2.0**44
    rows, columns = linear_sum_assignment(gain, maximize=True)
    served, wishes_met, weighted = [False] * n, 0, 0
    for i, j in zip(rows, columns):
        if j < m:
            served[i] = True
            found = len(met(buyers[i], pups[j]))
            wishes_met += found
            weighted += found * (n - int(i))
    return {
        "buyers": buyers,
        "pups": pups,
        "served": served,
        "wishes_met": wishes_met,
        "weighted_by_place": weighted,
    }


def main():
    draw = random.Random(11784)
    document = {
        "source": "scipy.optimize.linear_sum_assignment, by tests/outside/placement_assignment.py",
        "matrices": matrices(draw, 60),
        "proposals": [proposal(draw) for _ in range(300)],
    }
    path = pathlib.Path(__file__).parents[1] / "reference" / "placement" / "assignment.json"
    path.parent.mkdir(parents=True, exist_ok=True)
    lines = [f'"source": {json.dumps(document["source"])}']
    for key in ("matrices", "proposals"):
        rows = ",\n".join(json.dumps(item) for item in document[key])
        lines.append(f'"{key}": [\n{rows}\n]')
    path.write_text("{\n" + ",\n".join(lines) + "\n}\n")


main()
