"""A replica that answers booklets and archives is killed, held back and started again under who writes and reads."""

import os
import threading
import time

from phones import WeightPhone
from postgres import Postgres
from report import seconds, wait_until
from service import BROKEN, Client, Owner, Service


class Reader(WeightPhone):
    """Writes a weight, and prints at once what must have it."""

    def __init__(self, owner, number):
        super().__init__(owner, number)
        self.read, self.missed, self.worst = 0, [], 0.0

    def write(self):
        super().write()
        began = time.monotonic()
        answer = self.client.get(f"{self.owner.kennel}/dogs/{self.dog}/booklet.json")
        self.worst = max(self.worst, time.monotonic() - began)
        if answer.status != 200:
            self.odd.append(f"booklet: {answer.status}")
            return
        self.read += 1
        if len(answer.body["weights"]) != self.made:
            self.missed.append((self.made, len(answer.body["weights"])))


class Idle(threading.Thread):
    """Asks for the archive of a kennel in which nothing is written."""

    def __init__(self, owner):
        super().__init__(daemon=True)
        self.owner, self.over, self.statuses = owner, False, {}

    def run(self):
        client = self.owner.client(patience=30)
        while not self.over:
            try:
                status = client.get(f"{self.owner.kennel}/archive").status
            except BROKEN as error:
                status = repr(error)
            self.statuses[status] = self.statuses.get(status, 0) + 1
            time.sleep(0.1)


def figures(service):
    """What the service counts of its replica."""
    text = Client(service.port).get("/metrics").body.decode()
    lines = [line.rsplit(" ", 1) for line in text.splitlines() if line.startswith("denwright_replica")]
    return {name.removeprefix("denwright_replica_"): float(value) for name, value in lines}


def counted(service, outcome):
    return figures(service)[f'questions_total{{outcome="{outcome}"}}']


def replica(report, folder, span=4):
    folders = [os.path.join(folder, name) for name in ("one", "two")]
    for path in folders:
        os.mkdir(path, 0o755)
    server, standby = Postgres(folders[0]).make(), None
    try:
        standby = server.standby(folders[1])
        with Service(folder, server.url(), read_url=standby.url(), log="info,actix_http=off") as service:
            owners = [Owner(service, "Hedda"), Owner(service, "Jorun")]
            readers, idle = [Reader(owners[0], number) for number in range(2)], Idle(owners[1])
            for thread in (*readers, idle):
                thread.start()
            time.sleep(span)
            held_back(report, service, standby, span)
            away(report, service, standby, span)
            idle.over = True
            for reader in readers:
                reader.told_to_stop.set()
            for thread in (*readers, idle):
                thread.join(60)
            told(report, service, readers, idle)
    finally:
        for one in (standby, server):
            if one is not None:
                one.stop()


def held_back(report, service, standby, span):
    """What has been written is not there; an idle kennel's archive is."""
    before = figures(service)
    standby.sql("SELECT pg_wal_replay_pause()", "postgres")
    time.sleep(span)
    after = figures(service)
    report.figure("lag while it is held back", f"{after['lag_bytes']:.0f} bytes, {after['lag_seconds']:.1f} s")
    report.promise("its lag is told", after["lag_bytes"] > 0 and after["lag_seconds"] > 1, after)
    grown = {name: after[name] - before[name] for name in before if name.startswith("questions")}
    report.promise("the server answers what it lacks, and it the rest", min(list(grown.values())[:2]) > 0, grown)
    standby.sql("SELECT pg_wal_replay_resume()", "postgres")
    caught_up = wait_until(lambda: figures(service)["lag_bytes"] < after["lag_bytes"], 20)
    report.promise("it catches up", caught_up is not None)


def away(report, service, standby, span):
    """It is killed, and started again some seconds later."""
    standby.kill()
    gone = wait_until(lambda: figures(service)["up"] == 0, 20)
    report.promise("that it is away is told", gone is not None)
    time.sleep(span)
    standby.start()
    answered = counted(service, "answered")
    back = wait_until(lambda: counted(service, "answered") > answered, 30)
    report.figure("started again: until it answers", seconds(back if back is not None else -1))
    report.promise("it is taken up again", back is not None)


def told(report, service, readers, idle):
    outcomes = {name: int(counted(service, name)) for name in ("answered", "behind", "failed")}
    for name, count in outcomes.items():
        report.figure(f"questions {name}", count)
    report.figure("booklets read right after a write", sum(reader.read for reader in readers))
    report.figure("archives of the idle kennel", sum(idle.statuses.values()))
    report.figure("longest wait for a booklet", seconds(max(reader.worst for reader in readers)))
    odd = [text for reader in readers for text in reader.odd]
    report.promise("each question was answered", not odd and set(idle.statuses) == {200}, (odd[:3], idle.statuses))
    missed = [pair for reader in readers for pair in reader.missed]
    report.promise("whoever wrote reads it at once", not missed, missed[:3])
    with open(service.log) as log:
        lines = [line for line in log if "the replica is" in line]
    report.promise("the log says once that it went, and once that it came", len(lines) == 2, lines)
