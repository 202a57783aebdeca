"""What a run found: figures for people, promises for the exit code."""

import sys
import time


class Report:
    """Prints as it goes; remembers every promise that did not hold."""

    def __init__(self):
        self.kept = 0
        self.broken = []
        self.skipped = []

    def part(self, title):
        print(f"\n== {title}", flush=True)

    def figure(self, name, value):
        print(f"   {name:<52} {value}", flush=True)

    def promise(self, text, holds, detail=""):
        """Something that must be so; `detail` tells what was instead."""
        if holds:
            self.kept += 1
            print(f"   kept    {text}", flush=True)
        else:
            self.broken.append(text)
            print(f"   BROKEN  {text}: {detail}", flush=True)

    def skip(self, text):
        self.skipped.append(text)
        print(f"   skipped {text}", flush=True)

    def close(self):
        """The last lines; the exit code."""
        print()
        for text in self.skipped:
            print(f"skipped: {text}")
        for text in self.broken:
            print(f"broken: {text}")
        print(f"{self.kept} passed, {len(self.broken)} failed, {len(self.skipped)} skipped")
        sys.stdout.flush()
        return 1 if self.broken else 0


def seconds(value):
    return f"{value:.2f} s"


def spread(values):
    """Least, middle and most of some durations."""
    values = sorted(values)
    if not values:
        return "none"
    middle = values[len(values) // 2]
    return f"{values[0]:.2f} / {middle:.2f} / {values[-1]:.2f} s (least / median / most)"


def wait_until(holds, patience=30.0, glance=0.05):
    """Seconds until `holds()` is true; None when the patience ends first."""
    began = time.monotonic()
    while time.monotonic() - began < patience:
        if holds():
            return time.monotonic() - began
        time.sleep(glance)
    return None
