"""Breaks a running service on purpose and prints what became of it: see scripts/faults."""

import argparse
import os
import sys
import tempfile
import traceback

import clock
import crash
import database
import doors
import failover
import instances
import pooler
import replica
import rings
import schema
import visitors
from report import Report
from service import Service

PARTS = {
    "crashes": (crash.crashes, "the service and Postgres are killed under writers"),
    "away": (database.away_and_back, "the database goes away, hangs, comes back"),
    "pool": (database.pool_exhausted, "all connections are taken"),
    "disk": (database.disk_full, "the disk is full"),
    "slow": (visitors.slow_clients, "clients drip, readers do not read"),
    "shutdown": (visitors.shutdown, "a stop while requests are in flight"),
    "clock": (clock.jumps, "the server's clock jumps"),
    "proxy": (instances.behind_a_proxy, "two instances behind a proxy, killed in turn"),
    "failover": (failover.failover, "the server is killed under writers, its synchronous standby takes over"),
    "pooler": (pooler.pooler, "all connections come by pgbouncer in transaction mode"),
    "replica": (replica.replica, "the replica that answers reports is held back, killed, started again"),
    "doors": (doors.doors, "work that costs, receivers that never answer, thousands of streams"),
    "rings": (rings.rounds, "the service is killed while alarms are raised and tasks come due"),
    "schema": (schema.start_at_once, "instances start at once on an empty database"),
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
