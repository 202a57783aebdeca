"""Makes tests/reference/breeding_values/animal_model.json: breeding values by numpy, without Henderson's rules.

Random pedigrees with matings of near kin and records in groups. The relationship matrix is built by the tabular
method and inverted as a whole; the mixed model equations are written out with the groups in them and solved by
numpy.linalg.solve, error variances are taken from the inverse of their whole left-hand side. That is the same model
by none of the means of src/domain/breeding_values/model.rs (which applies the inverse of the relationship matrix by
rules, absorbs the groups and iterates).

    pip install numpy && python tests/outside/animal_model.py
"""

import json
import pathlib
import random

import numpy


def relationship(parents):
    """A by the tabular method (Emik LO, Terrill CE 1949, J Hered 40:51-55); parents stand before their offspring."""
    count = len(parents)
    a = numpy.zeros((count, count))
    for i, (sire, dam) in enumerate(parents):
        for j in range(i):
            a[i, j] = a[j, i] = 0.5 * sum(a[j, p] for p in (sire, dam) if p is not None)
        a[i, i] = 1.0 + (0.5 * a[sire, dam] if None not in (sire, dam) else 0.0)
    return a


def pedigree(draw, count, founders):
    parents = [(None, None)] * founders
    for animal in range(founders, count):
        # Mostly from the last few, so that inbreeding rises.
        near = range(max(0, animal - 8), animal)
        pick = lambda: None if draw.random() < 0.1 else draw.choice(near)
        sire, dam = pick(), pick()
        while sire is not None and sire == dam:
            dam = pick()
        parents.append((sire, dam))
    return parents


def solved(parents, records, heritability):
    a = relationship(parents)
    groups = 1 + max(record["group"] for record in records)
    x = numpy.zeros((len(records), groups))
    z = numpy.zeros((len(records), len(parents)))
    for row, record in enumerate(records):
        x[row, record["group"]] = 1.0
        z[row, record["animal"]] = 1.0
    y = numpy.array([record["value"] for record in records])
    ratio = (1.0 - heritability) / heritability
    left = numpy.block([[x.T @ x, x.T @ z], [z.T @ x, z.T @ z + ratio * numpy.linalg.inv(a)]])
    solution = numpy.linalg.solve(left, numpy.concatenate([x.T @ y, z.T @ y]))
    errors = ratio * numpy.diag(numpy.linalg.inv(left))[groups:]
    return a, solution[:groups], solution[groups:], errors


def cases(draw):
    for count, founders, with_record, groups, heritability in [
        (30, 6, 12, 1, 0.35), (60, 8, 25, 2, 0.18), (120, 10, 60, 3, 0.67), (60, 4, 60, 2, 0.05), (40, 5, 6, 3, 0.9),
    ]:
        parents = pedigree(draw, count, founders)
        animals = draw.sample(range(count), with_record)
        records = [
            {"animal": animal, "group": at % groups, "value": round(draw.gauss(2.0 + at % groups, 1.0), 3)}
            for at, animal in enumerate(animals)
        ]
        a, means, values, errors = solved(parents, records, heritability)
        yield {
            "parents": [[-1 if p is None else p for p in pair] for pair in parents],
            "records": records,
            "heritability": heritability,
            "inbreeding": [float(a[i, i] - 1.0) for i in range(count)],
            "means": means.tolist(),
            "breeding_values": values.tolist(),
            "error_variances": errors.tolist(),
        }


if __name__ == "__main__":
    out = pathlib.Path(__file__).parents[1] / "reference/breeding_values/animal_model.json"
    out.write_text(json.dumps(list(cases(random.Random(18))), indent=1) + "\n")
