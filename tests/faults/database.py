"""The database goes away, hangs, is all taken, or has no room: clear answers, and recovery unaided."""

import os
import subprocess
import threading
import time
import uuid

from postgres import Postgres
from report import seconds, spread, wait_until
from service import BROKEN, Client, Owner, Service, good

PROBLEM = "application/problem+json"

# A request waits at most this long for a connection before it is told to come back.
POOL_SECONDS = 5
# A statement waits at most this long for what another transaction holds. A write waits twice: for its
# turn in the kennel, and for the row or table.
LOCK_SECONDS = 2 * 10


def is_clear(answer, statuses=(503,), retry=True):
    """Whether an answer says in the agreed form that it cannot be done now."""
    return (
        answer.status in statuses
        and answer.headers.get("Content-Type") == PROBLEM
        and (not retry or int(answer.headers.get("Retry-After", 0)) > 0)
        and bool(answer.body["detail"])
    )


def away_and_back(report, folder):
    with Postgres(folder) as postgres, Service(folder, postgres.url()) as service:
        owner = Owner(service)
        before = owner.dog()
        gone(report, postgres, service, owner)
        report.promise("what was written before is there", owner.client().get(f"{owner.kennel}/dogs/{before}").status == 200)
        frozen(report, postgres, service, owner)
        restarting(report, folder, postgres)


def gone(report, postgres, service, owner):
    stream = owner.client(patience=30)
    postgres.stop()
    client, odd, took = owner.client(), [], []
    requests = [
        ("GET", f"{owner.kennel}/dogs", None), ("GET", "/v1/me", None), ("GET", f"{owner.kennel}/changes", None),
        ("POST", f"{owner.kennel}/dogs", {"residence": "here"}),
        ("POST", "/v1/auth/login", {"email": owner.email, "password": "wrong by any measure"}),
        ("POST", "/v1/auth/refresh", {"refresh_token": owner.session["refresh_token"]}),
        ("GET", "/health/ready", None),
    ]
    for _ in range(3):
        for method, path, body in requests:
            began = time.monotonic()
            answer = client.call(method, path, body)
            took.append(time.monotonic() - began)
            if not is_clear(answer):
                odd.append((method, path, answer.status, answer.body))
    report.figure("answers while the database is away", spread(took))
    report.promise("503 with Retry-After as problem+json", not odd, odd[:3])
    report.promise("alive all the same, and not ready", service.status("/health/live") == 200
                   and service.status("/health/ready") == 503)
    postgres.start()
    back = time.monotonic()
    ready = wait_until(lambda: service.status("/health/ready") == 200, 20, 0.02)
    report.promise("ready again by itself", ready is not None)
    report.figure("ready after the database is back", seconds(ready or -1))
    written = wait_until(lambda: client.post(f"{owner.kennel}/dogs", {"residence": "here"}).status == 201, 20)
    report.figure("first write after the database is back", seconds(time.monotonic() - back))
    report.promise("the first write is good at once", written is not None and written < 0.5, written)
    stream.close()


def frozen(report, postgres, service, owner):
    """The server hangs without a word, as behind a network that swallows packets."""
    workers = [threading.Thread(target=lambda: owner.client().get(f"{owner.kennel}/dogs")) for _ in range(12)]
    for worker in workers:
        worker.start()
    for worker in workers:
        worker.join()
    postgres.freeze()
    try:
        client, took, odd = owner.client(), [], []
        for path in ("/health/ready", f"{owner.kennel}/dogs"):
            began = time.monotonic()
            answer = client.get(path)
            took.append(time.monotonic() - began)
            if not is_clear(answer):
                odd.append((path, answer.status))
        report.figure("answers while the database hangs", spread(took))
        report.promise("503 while the database hangs", not odd, odd)
        report.promise(f"each within {2 * POOL_SECONDS} s", max(took) < 2 * POOL_SECONDS, took)
        report.promise("alive while the database hangs", service.status("/health/live") == 200)
    finally:
        postgres.thaw()
    back = wait_until(lambda: service.status("/health/ready") == 200, 30, 0.02)
    report.promise("ready by itself when it goes on", back is not None)
    report.figure("ready after the database goes on", seconds(back or -1))


def restarting(report, folder, postgres):
    """A service that is started before its database waits for nobody: it says why and ends."""
    postgres.stop()
    service = Service(folder, postgres.url()).start(wait=False)
    code = service.process.wait(30)
    report.promise("a start without a database ends with a reason", code == 1 and "atabase" in service.said(), service.said())
    postgres.start()


def pool_exhausted(report, folder):
    with Postgres(folder) as postgres, Service(folder, postgres.url(), pool_size=4) as service:
        owner = Owner(service)
        dog = owner.dog()
        locked(report, postgres, service, owner, dog)
        crowd(report, owner, dog, 200)
    one_connection(report, folder)


def at_once(owner, count, work):
    """What so many clients get that ask at the same moment, and how long each waited."""
    results, start = [None] * count, threading.Barrier(count)

    def ask(number):
        client = owner.client(patience=120)
        start.wait()
        began = time.monotonic()
        try:
            answer = work(client, number)
        except BROKEN as error:
            answer = error
        results[number] = (answer, time.monotonic() - began)
        client.close()

    threads = [threading.Thread(target=ask, args=(number,)) for number in range(count)]
    for thread in threads:
        thread.start()
    return threads, results


def weigh(owner, dog, number, day=3):
    body = {"measured_at": f"2026-01-{day:02}T{number // 60:02}:{number % 60:02}:00Z", "weight_g": 24_000}
    return lambda client, _=None: client.post(f"{owner.kennel}/dogs/{dog}/weights", body)


def locked(report, postgres, service, owner, dog):
    """Somebody holds a lock that all writes want: all connections wait for it."""
    session = postgres.session("LOCK TABLE weights IN ACCESS EXCLUSIVE MODE")
    threads, results = at_once(owner, 12, lambda client, number: weigh(owner, dog, number)(client))
    time.sleep(1)
    report.promise("alive while all connections wait", service.status("/health/live") == 200)
    for thread in threads:
        thread.join(60)
    waited = [took for _, took in results]
    report.figure("12 writes on 4 connections that a lock holds up", spread(waited))
    odd = [answer for answer, _ in results if isinstance(answer, Exception) or not is_clear(answer)]
    report.promise("each is told 503 with Retry-After", not odd, odd[:2])
    report.promise(f"within {LOCK_SECONDS + POOL_SECONDS} s", max(waited) < LOCK_SECONDS + POOL_SECONDS + 1, waited)
    session.communicate("ROLLBACK;\n")
    began = time.monotonic()
    answer = weigh(owner, dog, 700)(owner.client())
    report.promise("a write is good when the lock is gone", answer.status == 201, answer.status)
    report.figure("first write after the lock is gone", seconds(time.monotonic() - began))
    rows = [row["measured_at"] for row in owner.all_items(f"/dogs/{dog}/weights")]
    report.promise("nothing of the refused writes was kept", len(rows) == 1, rows)


def crowd(report, owner, dog, count):
    """Many more clients than connections, all at once."""
    threads, results = at_once(owner, count, lambda client, number: weigh(owner, dog, number, day=4)(client))
    for thread in threads:
        thread.join(120)
    statuses = [answer.status if not isinstance(answer, Exception) else repr(answer) for answer, _ in results]
    report.figure(f"{count} writers on 4 connections", spread([took for _, took in results]))
    report.figure("of these written / told to come back", f"{statuses.count(201)} / {statuses.count(503)}")
    report.promise("all are answered, by success or 503", set(statuses) <= {201, 503}, set(statuses))
    kept = len([row for row in owner.all_items(f"/dogs/{dog}/weights") if row["measured_at"].startswith("2026-01-04")])
    report.promise("as many are kept as were acknowledged", kept == statuses.count(201), kept)


def one_connection(report, folder):
    """A request that needed a second connection while it holds one would wait for itself."""
    inner = os.path.join(folder, "one")
    os.makedirs(inner)
    with Service(inner, pool_size=1, demo="on") as service:
        client = Client(service.port)
        login = {"email": "maren@example.org", "password": "larkfell-demo-2026"}
        client.token = good(client.post("/v1/auth/login", login))["access_token"]
        kennel = good(client.get("/v1/me"))["kennels"][0]["kennel_id"]
        ids = known_ids(client, kennel)
        starved, asked = [], 0
        for path, item in good(client.get("/openapi.json"))["paths"].items():
            if "get" not in item or path in ("/docs", "/v1/booklets/{secret}"):
                continue
            for name, value in ids.items():
                path = path.replace("{%s}" % name, value)
            if "{" not in path:
                asked += 1
                if client.get(path).status >= 500:
                    starved.append(path)
        report.figure("reads on a single connection", asked)
        report.promise("none waits for a second connection", asked > 60 and not starved, (asked, starved))


def known_ids(client, kennel):
    """One id of each kind that paths ask for."""
    base = f"/v1/kennels/{kennel}"

    def first(path):
        items = good(client.get(f"{base}/{path}"))["items"]
        return items[0] if items else {"id": "00000000-0000-0000-0000-000000000000"}

    litter = good(client.get(f"{base}/litters?born=true"))["items"][0]["id"]
    birth = first(f"litters/{litter}/births")
    return {
        "kennel_id": kennel, "litter_id": litter, "dog_id": birth["dog_id"], "birth_id": birth["id"],
        "heat_id": first("heats")["id"], "mating_id": first("matings")["id"], "buyer_id": first("buyers")["id"],
        "placement_id": first("placements")["id"], "plan_id": first("health-plans")["id"],
        "event_id": first("health-events")["id"],
    }


def may_mount():
    return os.geteuid() == 0 and subprocess.run(["mount", "--version"], capture_output=True).returncode == 0


class SmallDisk:
    """A file system of a few megabytes in memory."""

    def __init__(self, path, megabytes):
        self.path, self.size = path, megabytes

    def __enter__(self):
        os.makedirs(self.path)
        subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={self.size}m,mode=0755", "tmpfs", self.path], check=True)
        return self

    def __exit__(self, *_):
        subprocess.run(["umount", "-l", self.path], check=False)

    def fill(self):
        """Takes all the room there is."""
        with open(os.path.join(self.path, "filler"), "wb", buffering=0) as filler:
            try:
                while True:
                    filler.write(b"\0" * 65536)
            except OSError:
                pass

    def empty(self):
        os.remove(os.path.join(self.path, "filler"))


def disk_full(report, folder):
    if not may_mount():
        report.skip("a full disk: only root may mount a small one")
        return
    full_tables(report, folder)
    full_folder(report, folder)


def batch(owner, client, dog, number, rows=2000):
    """A batch of many weights under ids made here; the answer."""
    items = [
        {"id": str(uuid.uuid4()), "dog_id": dog, "weight_g": 24_000, "note": "n" * 300,
         "measured_at": f"2025-{1 + number:02}-{1 + row // 1440:02}T{row // 60 % 24:02}:{row % 60:02}:00Z"}
        for row in range(rows)
    ]
    return client.post(f"{owner.kennel}/weights/batch", {"items": items})


def full_tables(report, folder):
    """The tables' disk is full, the log's is not: Postgres says so, statement by statement."""
    inner = os.path.join(folder, "tables")
    os.makedirs(inner)
    with Postgres(inner) as postgres, SmallDisk(os.path.join(inner, "small"), 64) as disk:
        os.chown(disk.path, os.stat(postgres.data).st_uid, -1)
        os.chmod(disk.path, 0o700)
        postgres.sql(f"CREATE TABLESPACE small LOCATION '{disk.path}'", database="postgres")
        url = postgres.new_database("crowded", "TABLESPACE small")
        with Service(inner, url) as service:
            owner = Owner(service)
            client, dog = owner.client(), owner.dog()
            good(batch(owner, client, dog, 0))
            disk.fill()
            refused = stored = 0
            for number in range(1, 8):
                answer = batch(owner, client, dog, number)
                if answer.status == 200:
                    stored += 1
                    continue
                refused += 1
                if not is_clear(answer, (503, 507)):
                    report.promise("a clear answer on a full disk", False, (answer.status, answer.body))
                    return
                full = answer
            report.promise("writes are refused when there is no room", refused > 0)
            report.figure("answer on a full disk", f"{full.status}, {full.body['title']}: {full.body['detail']}")
            report.promise("reads go on", client.get(f"{owner.kennel}/dogs/{dog}").status == 200)
            rows = sum(1 for _ in owner.all_items(f"/dogs/{dog}/weights"))
            report.promise("no batch is half-written", rows == 2000 * (1 + stored), rows)
            disk.empty()
            began = time.monotonic()
            answer = batch(owner, client, dog, 9)
            report.promise("writes are good once there is room", answer.status == 200, (answer.status, answer.body))
            report.figure("first write after there is room", seconds(time.monotonic() - began))


def full_folder(report, folder):
    """All of the private Postgres's data lies on the full disk, its log too."""
    with SmallDisk(os.path.join(folder, "disk"), 400) as disk, Service(disk.path) as service:
        owner = Owner(service)
        client, dog = owner.client(), owner.dog()
        good(batch(owner, client, dog, 0))
        disk.fill()
        stored, answers = 0, []
        for number in range(1, 12):
            try:
                answer = batch(owner, client, dog, number)
            except BROKEN as error:
                report.promise("an answer on a full disk", False, repr(error))
                return
            stored += answer.status == 200
            if answer.status != 200:
                answers.append(answer)
            time.sleep(0.3)
        odd = [(answer.status, answer.body) for answer in answers if not is_clear(answer, (503, 507))]
        report.promise("clear answers while the whole folder is full", answers and not odd, odd[:2])
        report.promise("alive with a full folder", service.status("/health/live") == 200)
        disk.empty()
        began = time.monotonic()
        written = wait_until(lambda: client.post(f"{owner.kennel}/dogs", {"residence": "here"}).status == 201, 60)
        report.promise("writes by itself once there is room", written is not None, service.said())
        report.figure("first write after the folder has room", seconds(time.monotonic() - began))
        rows = sum(1 for _ in owner.all_items(f"/dogs/{dog}/weights"))
        report.promise("every acknowledged batch is there, whole", rows == 2000 * (1 + stored), (rows, stored))
