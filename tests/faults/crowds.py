"""Receivers that never answer, and crowds of live streams: who else waits for them."""

import http.server
import os
import threading
import time

from postgres import Postgres
from report import seconds, spread, wait_until
from service import Client, Owner, Service, good
from visitors import connect, memory_mb, streams_open


class Receiver:
    """Takes what a webhook posts; answers after so many seconds."""

    def __init__(self, takes=0.0):
        got = self.got = []

        class Handler(http.server.BaseHTTPRequestHandler):
            def do_POST(self):
                self.rfile.read(int(self.headers["Content-Length"]))
                got.append(time.monotonic())
                time.sleep(takes)
                try:
                    self.send_response(200)
                    self.end_headers()
                except OSError:
                    pass

            def log_message(self, *_):
                pass

        self.server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), Handler)
        self.server.daemon_threads = True
        threading.Thread(target=self.server.serve_forever, daemon=True).start()
        self.url = f"http://127.0.0.1:{self.server.server_port}/hook"


def hook(owner, receiver):
    good(owner.client().post(f"{owner.kennel}/webhooks", {"url": receiver.url, "events": ["dog"]}))


def slow_receivers(report, folder):
    """Kennels whose receivers hang, each with changes waiting; how long a change of another takes to arrive."""
    with Service(folder, webhooks_private="on", tries_from_address=10_000) as service:
        alone, hanging, calm = Receiver(), Receiver(3600), Receiver()
        other = Owner(service, "Alone")
        hook(other, alone)
        took = arrivals(other, alone, 5)
        report.figure("a change arrives at a webhook, nobody else about", spread(took))
        for number in range(10):
            owner = Owner(service, f"Hangs {number}".replace(" ", ""))
            for _ in range(4):
                hook(owner, hanging)
            for _ in range(5):
                owner.dog()
        report.figure("calls open at receivers that hang", len(hanging.got))
        hook(other, calm)
        took = arrivals(other, calm, 20)
        report.figure("a change arrives while 40 webhooks of ten kennels hang", spread(took))
        report.promise("a receiver that hangs delays nobody else", max(took) < 4, took)


def arrivals(owner, receiver, count):
    """Seconds from each of so many changes to its arrival."""
    took = []
    for _ in range(count):
        seen, began = len(receiver.got), time.monotonic()
        owner.dog()
        arrived = wait_until(lambda: len(receiver.got) > seen, 120)
        took.append(time.monotonic() - began if arrived is not None else 999.0)
    return took


def try_stream(owner):
    """A stream of changes, or the status of its refusal."""
    connection = connect(owner.port)
    connection.sendall(
        f"GET {owner.kennel}/changes HTTP/1.1\r\nHost: kennel\r\nAuthorization: Bearer {owner.token}\r\n"
        "Accept: text/event-stream\r\n\r\n".encode()
    )
    status = int(connection.recv(4096).split()[1])
    if status != 200:
        connection.close()
        return None, status
    return connection, status


def crowded_streams(report, folder):
    inner = os.path.join(folder, "postgres")
    os.makedirs(inner)
    with Postgres(inner) as postgres:
        with Service(folder, postgres.url(), tries_from_address=10_000, webhooks_private="on") as service:
            greedy = Owner(service, "Greedy")
            told = [try_stream(greedy) for _ in range(3_000)]
            kept = [connection for connection, _ in told if connection]
            refused = sum(status == 429 for _, status in told)
            report.figure("of 3,000 streams by one login", f"{len(kept)} opened, {refused} refused with 429")
            report.promise("one login has at most 20 streams", len(kept) == 20 and refused == 2_980, len(kept))
            idle(report, service, postgres, kept)


def idle(report, service, postgres, kept):
    """Eight hundred streams of forty people: what they cost while nothing changes."""
    owners = [Owner(service, f"Person{number}") for number in range(39)]
    before = memory_mb(service)
    for owner in owners:
        kept += [try_stream(owner)[0] for _ in range(20)]
    opened = wait_until(lambda: streams_open(service) >= 800, 20)
    report.promise("800 streams are open", opened is not None, streams_open(service))
    report.figure("memory for 780 streams", f"{memory_mb(service) - before:.0f} MiB")
    # An idle backend of Postgres tells its counts some ten seconds late.
    time.sleep(20)
    commits = "SELECT xact_commit FROM pg_stat_database WHERE datname = 'denwright'"
    first, ticks, began = int(postgres.sql(commits)), processor(service), time.monotonic()
    time.sleep(60)
    spent = time.monotonic() - began
    rate = (int(postgres.sql(commits)) - first) / spent
    report.figure("transactions a second with 800 idle streams, the webhooks' look included", f"{rate:.1f}")
    report.figure("processor time of the service meanwhile", f"{100 * (processor(service) - ticks) / spent:.1f} % of a core")
    report.promise("idle streams ask the database nothing", rate < 4, rate)
    began = time.monotonic()
    took = [read(Client(service.port, owners[0].token), owners[0].kennel) for _ in range(50)]
    report.figure("a read meanwhile", spread(took))
    report.figure("50 reads took", seconds(time.monotonic() - began))
    for connection in kept:
        connection.close()
    gone = wait_until(lambda: streams_open(service) == 0, 10)
    report.promise("streams that were closed are gone at once", gone is not None, streams_open(service))


def read(client, kennel):
    began = time.monotonic()
    good(client.get(f"{kennel}/dogs"))
    return time.monotonic() - began


def processor(service):
    """Seconds of processor time so far."""
    with open(f"/proc/{service.process.pid}/stat") as stat:
        fields = stat.read().rsplit(") ", 1)[1].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")
