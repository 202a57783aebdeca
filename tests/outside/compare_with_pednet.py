"""Compares inbreeding coefficients with PedNet (PyPI, MIT licence), a general pedigree library.

usage: compare_with_pednet.py FILE [ENGINE_MS]

FILE has lines `id,sire,dam,inbreeding`. Exits 1 if any coefficient differs by more than 1e-12.
PedNet wants both parents or none, so an unknown parent becomes a founder of its own, which
changes no coefficient.
"""

import csv
import sys
import time

from pednet import inbreeding, pedigree_from_rows

TOLERANCE = 1e-12


def read(path):
    with open(path, newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def pednet_rows(dogs):
    sires = {dog["sire"] for dog in dogs}
    rows = []
    for dog in dogs:
        parents = [dog["sire"], dog["dam"]]
        if any(parents):
            for side, sex in ((0, 1), (1, 2)):
                if not parents[side]:
                    parents[side] = f"unknown{side}of{dog['id']}"
                    rows.append((parents[side], "0", "0", sex, 0))
        sex = 1 if dog["id"] in sires else 2
        father, mother = (f"d{p}" if p and not p.startswith("unknown") else p or "0" for p in parents)
        rows.append((f"d{dog['id']}", father, mother, sex, 0))
    return rows


def main():
    dogs = read(sys.argv[1])
    start = time.perf_counter()
    found = inbreeding(pedigree_from_rows(pednet_rows(dogs)))
    took_ms = (time.perf_counter() - start) * 1000
    worst = max(abs(found[f"d{dog['id']}"] - float(dog["inbreeding"])) for dog in dogs)
    inbred = sum(float(dog["inbreeding"]) > 0 for dog in dogs)
    ratio = f", {took_ms / float(sys.argv[2]):.0f} x engine" if len(sys.argv) > 2 else ""
    print(
        f"PedNet: {len(dogs)} dogs ({inbred} inbred) in {took_ms:.0f} ms{ratio}; "
        f"largest difference {worst:.1e}"
    )
    return 0 if worst <= TOLERANCE and inbred > 0 else 1


if __name__ == "__main__":
    sys.exit(main())
