"""Breaks a running service on purpose and prints what became of it: see scripts/faults."""

import argparse
import os
import sys
import tempfile
import traceback

import crash
from report import Report
from service import Service

PARTS = {
    "crashes": (crash.crashes, "the service and Postgres are killed under writers"),
}


def main():
    parser = argparse.ArgumentParser(prog="scripts/faults")
    parser.add_argument("program", help="the service's program")
    parser.add_argument("parts", nargs="*", metavar="PART", help=f"all, or some of: {', '.join(PARTS)}")
    arguments = parser.parse_args()
    unknown = set(arguments.parts) - set(PARTS)
    if unknown:
        parser.error(f"no such part: {', '.join(sorted(unknown))}; there are {', '.join(PARTS)}")
    Service.program = os.path.abspath(arguments.program)
    report = Report()
    for name in arguments.parts or PARTS:
        work, title = PARTS[name]
        report.part(f"{name}: {title}")
        with tempfile.TemporaryDirectory(prefix="denwright-faults-") as folder:
            # The database's own user must be able to pass through.
            os.chmod(folder, 0o755)
            try:
                work(report, folder)
            except Exception:
                report.promise(f"{name} runs to its end", False, traceback.format_exc())
    return report.close()


if __name__ == "__main__":
    sys.exit(main())
