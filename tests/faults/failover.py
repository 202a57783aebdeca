"""Failover: the server is killed under writers, and its synchronous standby takes its place."""

import os
import shutil
import time
from urllib.parse import quote

from crash import log_is_whole, unborn, written_since
from phones import BatchPhone, BirthPhone, WeightPhone, reckoning
from postgres import Postgres
from report import spread, wait_until
from service import Owner, Service


def address(servers):
    """Where the service finds whichever of them takes writes."""
    hosts = ",".join(quote(server.socket, safe="") for server in servers)
    return f"postgres://denwright@{hosts}/denwright?target_session_attrs=read-write"


def follow(server, folder):
    """A new standby of this server; from now on no commit is answered that it does not have on its disk."""
    shutil.rmtree(os.path.join(folder, "pgdata"), ignore_errors=True)
    # Copied before the setting, or the copy would wait for a standby of its own once it is promoted.
    standby = server.standby(folder)
    server.set("synchronous_standby_names", "*")
    server.wait_for_standby()
    return standby


def failover(report, folder, rounds=5):
    """No acknowledged write is lost or doubled when the server is killed and its synchronous standby promoted."""
    folders = [os.path.join(folder, name) for name in ("one", "two")]
    for path in folders:
        os.mkdir(path, 0o755)
    server, standby = Postgres(folders[0]).make(), None
    try:
        standby = follow(server, folders[1])
        with Service(folder, address([server, standby]), log="error,actix_http=off") as service:
            owner = Owner(service)
            kinds = [WeightPhone, BatchPhone, BirthPhone] * 2
            phones = [kind(owner, number) for number, kind in enumerate(kinds)]
            for phone in phones:
                phone.start()
            promoted, served = [], []
            for number in range(rounds):
                figures = killed(phones, server, standby)
                if figures is None:
                    report.promise(f"round {number}: writes go on", False, service.said())
                    return
                promoted.append(figures[0])
                served.append(figures[1])
                server, standby, spare = standby, None, os.path.dirname(server.data)
                standby = follow(server, spare)
            for phone in phones:
                phone.told_to_stop.set()
            for phone in phones:
                phone.join(150)
            told(report, owner, phones, promoted, served)
    finally:
        for one in (server, standby):
            if one is not None:
                one.stop()


def killed(phones, server, standby):
    """Seconds until the standby took writes, and until the first write was answered; None when none was."""
    since = time.monotonic()
    if wait_until(lambda: written_since(phones, since), 60) is None:
        return None
    time.sleep(0.5)
    killed_at = time.monotonic()
    server.kill()
    dead_at = time.monotonic()
    standby.promote()
    promoted = time.monotonic() - killed_at
    if wait_until(lambda: written_since(phones, dead_at), 60) is None:
        return None
    first = min(at for phone in phones for at in phone.acknowledged_at if at > dead_at + 0.05)
    return promoted, first - killed_at


def told(report, owner, phones, promoted, served):
    sums = reckoning(phones)
    report.figure("servers killed and standbys promoted", len(promoted))
    for name, value in sums.items():
        report.figure(f"writes {name}", value)
    report.figure("from the kill until the standby is promoted", spread(promoted))
    report.figure("from the kill until the first write is answered", spread(served))
    odd = [text for phone in phones for text in phone.odd]
    report.promise("nothing was answered but success or 503", not odd, odd[:3])
    report.promise("every acknowledged write is present", sums["lost"] == 0, sums)
    report.promise("no write is doubled", sums["doubled"] == 0, sums)
    report.promise("writes were in flight when it was killed", sums["sent again"] >= len(promoted), sums)
    report.promise("the log of changes has no gap and no repeat", log_is_whole(owner))
    report.promise("each birth has its dog and its first weight", not unborn(owner))
