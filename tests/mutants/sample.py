"""Which mutants are tried, in which order, and what became of them."""

import random
import re

# The areas, and the tests left out of each: those of modules that stand on none of the areas and
# take long. What is left out can only let a mutant live, never kill one.
AREAS = (
    "dating",
    "whelping",
    "alarms",
    "growth",
    "feeding",
    "readiness",
    "schedule",
    "breeding_limits",
    "placement",
)
SLOW = ("archive::", "breeds::", "cycle::", "inbreeding::", "markers::", "pedigree")

# A tenth of the mutants or more that live: tests do not bite.
MOST_ALIVE = 0.1


def area_of(path):
    """The area of a file, by its folder of src/domain; None for one of no area."""
    match = re.match(r"src/domain/([a-z_]+)(?:/|\.rs$)", path)
    return match[1] if match and match[1] in AREAS else None


def skipped(area):
    """The tests that are left out for mutants of an area."""
    return SLOW if area == "dating" else (*SLOW, "dating::")


def in_turn(mutants, areas, seed):
    """The mutants of the areas, shuffled by the seed, one of each area after the other."""
    queues = []
    for area in areas:
        of_area = sorted((m for m in mutants if area_of(m["file"]) == area), key=lambda m: m["name"])
        random.Random(f"{seed} {area}").shuffle(of_area)
        queues.append(of_area)
    longest = max(map(len, queues), default=0)
    return [queue[turn] for turn in range(longest) for queue in queues if turn < len(queue)]


class Tally:
    """What became of the mutants of one area."""

    def __init__(self):
        self.caught, self.missed, self.unviable, self.timeout = 0, 0, 0, 0

    def add(self, summary):
        """Counts one by cargo-mutants' word for it."""
        names = {
            "CaughtMutant": "caught",
            "MissedMutant": "missed",
            "Unviable": "unviable",
            "Timeout": "timeout",
        }
        name = names[summary]
        setattr(self, name, getattr(self, name) + 1)

    def plus(self, other):
        """Both together."""
        both = Tally()
        for name in ("caught", "missed", "unviable", "timeout"):
            setattr(both, name, getattr(self, name) + getattr(other, name))
        return both

    @property
    def tried(self):
        """Those that could be tried: a change that does not compile says nothing."""
        return self.caught + self.missed + self.timeout

    @property
    def alive(self):
        """The share that no test noticed; a test that never ends has noticed."""
        return self.missed / self.tried if self.tried else 0.0

    def line(self, name):
        """One line of the report."""
        share = f"{100 * self.alive:5.1f} %" if self.tried else "      –"
        return (
            f"{name:16} {self.tried:6} {self.caught + self.timeout:7} {self.missed:7}"
            f" {self.unviable:9} {share}"
        )


HEAD = f"{'area':16} {'tried':>6} {'caught':>7} {'missed':>7} {'unviable':>9} {'alive':>7}"
