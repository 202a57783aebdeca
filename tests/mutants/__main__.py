"""Tries a sample of mutants of the domain crate: see scripts/mutants."""

import argparse
import json
import os
import pathlib
import re
import subprocess
import sys
import time

from sample import AREAS, HEAD, MOST_ALIVE, Tally, area_of, in_turn, skipped
from switches import Switched

# Line tables are for people who read a backtrace; nobody does here, and linking is faster without.
LEAN = {"CARGO_PROFILE_DEV_DEBUG": "0", "CARGO_PROFILE_TEST_DEBUG": "0", "RUST_BACKTRACE": "0"}
TEST_SECONDS, BUILD_SECONDS = 300, 1800


def copied(tree):
    """Brings a copy of the working tree up to date, touching only files that differ."""
    listed = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
        check=True, capture_output=True,
    ).stdout.decode().split("\0")
    names = {name for name in listed if name and os.path.isfile(name)}
    for name in names:
        there, wanted = tree / name, pathlib.Path(name).read_bytes()
        if not there.is_file() or there.read_bytes() != wanted:
            there.parent.mkdir(parents=True, exist_ok=True)
            there.write_bytes(wanted)
    for old in (tree / "src").rglob("*"):
        if old.is_file() and str(old.relative_to(tree)) not in names:
            old.unlink()


def listed(tree):
    """The mutants of all areas, each with its shard: its place among all of the crate."""
    output = subprocess.run(
        ["cargo", "mutants", "--dir", str(tree), "--package", "domain", "--list", "--json"],
        check=True, capture_output=True,
    ).stdout
    every = json.loads(output)
    for place, mutant in enumerate(every):
        mutant["id"], mutant["shard"] = place + 1, f"{place}/{len(every)}"
    return [mutant for mutant in every if area_of(mutant["file"])]


def test_arguments(area):
    """The unit tests for mutants of an area: without those that none needs."""
    return [word for name in skipped(area) for word in ("--skip", name)]


def tried_alone(mutant, tree, out, environment):
    """What became of one mutant in a build of its own, in cargo-mutants' word."""
    command = [
        "cargo", "mutants", "--dir", str(tree), "--in-place", "--output", str(out),
        # A pattern would not do: deletions of fields pass every one.
        "--package", "domain", "--shard", mutant["shard"],
        "--baseline", "skip", "--timeout", str(TEST_SECONDS),
        "--build-timeout", str(BUILD_SECONDS), "--no-times",
        "--", "--lib", "--", *test_arguments(area_of(mutant["file"])),
    ]
    done = subprocess.run(command, env=environment, capture_output=True, text=True)
    try:
        outcomes = json.loads((out / "mutants.out" / "outcomes.json").read_text())["outcomes"]
    except FileNotFoundError:
        sys.exit(done.stdout + done.stderr)
    names = [outcome["scenario"]["Mutant"]["name"] for outcome in outcomes]
    if names != [mutant["name"]]:
        sys.exit(f"{mutant['name']} was asked for, {names} tried:\n{done.stdout}{done.stderr}")
    return outcomes[0]["summary"]


def tried(mutant, switched, seconds):
    """What became of one mutant of the switched program, in cargo-mutants' word."""
    area = area_of(mutant["file"])
    # Those of its own area mostly notice; the others are asked where they do not.
    for chosen in ([f"{area}::"], []):
        passed = switched.run(mutant["id"], [*chosen, *test_arguments(area)], seconds)
        if passed is None:
            return "Timeout"
        if not passed:
            return "CaughtMutant"
    return "MissedMutant"


def main():
    parser = argparse.ArgumentParser(prog="scripts/mutants")
    parser.add_argument("folder", type=pathlib.Path, help="where copy and build are kept")
    parser.add_argument("--seed", type=int, default=int(time.time()))
    parser.add_argument("--minutes", type=float, default=20)
    parser.add_argument("--most", type=int, help="so many of the sample, and no more")
    parser.add_argument("--only", metavar="REGEX", default="")
    parser.add_argument("areas", nargs="*", metavar="AREA", help=", ".join(AREAS))
    arguments = parser.parse_intermixed_args()
    areas = arguments.areas or list(AREAS)
    if unknown := set(areas) - set(AREAS):
        parser.error(f"no such area: {', '.join(sorted(unknown))}")

    at_first = time.monotonic()
    tree = arguments.folder / "tree"
    copied(tree)
    environment = {**os.environ, **LEAN, "CARGO_TARGET_DIR": str(arguments.folder / "target")}
    mutants = [mutant for mutant in listed(tree) if re.search(arguments.only, mutant["name"])]
    sample = in_turn(mutants, areas, arguments.seed)
    sample = sample[: arguments.most]
    print(f"seed {arguments.seed}: {len(sample)} mutants in {', '.join(areas)}", flush=True)
    switched = Switched(arguments.folder / "switched", environment)
    switched.build(sample, copied)
    built = time.monotonic()
    # The switches must change nothing by themselves.
    if not switched.run(0, test_arguments("dating"), BUILD_SECONDS):
        sys.exit("The tests fail without a change: mend them first.")
    # A busy machine must not pass for a test that noticed.
    seconds = max(TEST_SECONDS, 5 * (time.monotonic() - built))
    print(f"built in {built - at_first:.0f} s; {len(switched.without)} are built alone", flush=True)

    tallies, alive, begun = {area: Tally() for area in areas}, [], time.monotonic()
    for mutant in sample:
        if time.monotonic() - begun >= arguments.minutes * 60:
            break
        at = time.monotonic()
        if mutant["id"] in switched.unviable:
            summary = "Unviable"
        elif mutant["id"] in switched.without:
            summary = tried_alone(mutant, tree, arguments.folder, environment)
        else:
            summary = tried(mutant, switched, seconds)
        tallies[area_of(mutant["file"])].add(summary)
        if summary == "MissedMutant":
            alive.append(mutant["name"])
        print(f"{time.monotonic() - at:5.0f} s  {summary:13} {mutant['name']}", flush=True)

    total = Tally()
    print(f"\n{HEAD}")
    for area, tally in tallies.items():
        total = total.plus(tally)
        print(tally.line(area))
    print(total.line("all"))
    count = total.tried + total.unviable
    if count:
        print(f"{(time.monotonic() - begun) / count:.0f} s a mutant")
    for name in alive:
        print(f"lives: {name}")
    return 1 if total.alive >= MOST_ALIVE else 0


if __name__ == "__main__":
    sys.exit(main())
