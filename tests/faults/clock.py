"""The server's clock jumps: hours ahead by mistake, back again, and for good."""

import glob
import os
import time

from postgres import Postgres
from report import wait_until
from service import PASSWORD, Client, Owner, Service, good

DAY = 86_400


class Clock:
    """The wall clock of the processes that were started with it; their waits stay as they are."""

    def __init__(self, folder):
        self.file = os.path.join(folder, "clock")
        self.set(0)
        os.chmod(self.file, 0o644)

    def set(self, ahead):
        with open(self.file + ".new", "w") as file:
            file.write(f"{ahead:+d}")
        os.chmod(self.file + ".new", 0o644)
        os.replace(self.file + ".new", self.file)

    def environment(self):
        return {
            "LD_PRELOAD": library(), "FAKETIME_TIMESTAMP_FILE": self.file, "FAKETIME_NO_CACHE": "1",
            "DONT_FAKE_MONOTONIC": "1", "FAKETIME_DONT_FAKE_MONOTONIC": "1",
        }


def library():
    return next(iter(glob.glob("/usr/lib/*/faketime/libfaketimeMT.so.1")), None)


def jumps(report, folder):
    if library() is None:
        report.skip("clock jumps: libfaketime is missing (Debian: apt-get install libfaketime)")
        return
    clock = Clock(folder)
    inner = os.path.join(folder, "postgres")
    os.makedirs(inner)
    with Postgres(inner, environment=clock.environment()) as postgres:
        settings = {"access_minutes": 15, "webhooks_private": "on"}
        with Service(folder, postgres.url(), environment=clock.environment(), **settings) as service:
            ahead_and_back(report, clock, postgres, service, Owner(service))


def renewed(owner):
    """A fresh access token by the refresh token, as a client gets one."""
    answer = Client(owner.port).post("/v1/auth/refresh", {"refresh_token": owner.session["refresh_token"]})
    if answer.status == 200:
        owner.session = answer.body
        owner.token = answer.body["access_token"]
    return answer.status


def ask(owner):
    return owner.client().get(f"{owner.kennel}/dogs").status


def write_once(owner, key):
    body = {"name": "Once", "residence": "here"}
    return owner.client().post(f"{owner.kennel}/dogs", body, Idempotency_Key=key)


def ahead_and_back(report, clock, postgres, service, owner):
    first = write_once(owner, "before")
    report.promise("the service's clock is the one that is set", first.status == 201, first)
    here = good(owner.client().post("/v1/auth/login", {"email": owner.email, "password": PASSWORD}))

    clock.set(3600)
    report.promise("an hour ahead: the access token is over", ask(owner) == 401, ask(owner))
    report.promise("an hour ahead: the session goes on", renewed(owner) == 200 and ask(owner) == 200)
    report.promise("a repeat gets its first answer", write_once(owner, "before").body == first.body)
    early = owner.token
    clock.set(0)
    report.promise("back: a token from the future is refused", ask(owner) == 401, ask(owner))
    report.promise("back: the session goes on", renewed(owner) == 200 and ask(owner) == 200)
    report.promise("back: a repeat gets its first answer", write_once(owner, "before").body == first.body)
    report.promise("back: writes and the log go on", write_once(owner, "after").status == 201 and order_holds(owner))

    locked_out(report, clock, owner)
    keys(report, clock, postgres, service, owner)
    deliveries(report, clock, postgres, service, owner)
    for_good(report, clock, owner, here, early)


def order_holds(owner):
    page = good(owner.client().get(f"{owner.kennel}/changes?limit=500"))
    numbers = [change["sequence"] for change in page["items"]]
    return numbers == list(range(1, len(numbers) + 1))


def log_in(owner, password):
    return Client(owner.port).post("/v1/auth/login", {"email": owner.email, "password": password})


def locked_out(report, clock, owner):
    """Tries that were counted in the future must not bar anybody until then."""
    clock.set(10 * DAY)
    statuses = [log_in(owner, "wrong in the future").status for _ in range(8)]
    report.promise("too many wrong tries have to wait", 429 in statuses, statuses)
    clock.set(0)
    answer = log_in(owner, PASSWORD)
    wait = int(answer.headers.get("Retry-After", 0))
    report.figure("ten days back: the wait after those tries", f"{wait} s")
    report.promise("back: nobody is barred until the future", answer.status == 200 or wait <= 900, (answer.status, wait))
    clock.set(2 * 3600)
    clock.set(0)


def keys(report, clock, postgres, service, owner):
    """A key that was made in the future is not the last word."""
    clock.set(200 * DAY)
    postgres.sql("UPDATE signing_keys SET created_at = now() - interval '100 days'")
    made = rotate(postgres, service, clock)
    clock.set(0)
    next_key = rotate(postgres, service, clock)
    service.stop()
    service.start()
    answer = log_in(owner, PASSWORD)
    if answer.status == 429:
        postgres.sql("DELETE FROM attempts")
        answer = log_in(owner, PASSWORD)
    owner.session = good(answer)
    owner.token = owner.session["access_token"]
    signer = key_of(owner.token)
    report.promise("back: a key that is made now signs from now on", signer == next_key, (made, next_key, signer))
    report.promise("back: logins go on", ask(owner) == 200)


def key_of(token):
    import base64
    import json
    head = token.split(".")[0]
    return json.loads(base64.urlsafe_b64decode(head + "=" * (-len(head) % 4)))["kid"]


def rotate(postgres, service, clock):
    import subprocess
    environment = {**service.environment, "DATABASE_URL": postgres.url(), **clock.environment()}
    done = subprocess.run([service.program, "keys", "rotate"], env=environment, capture_output=True, text=True)
    if done.returncode:
        raise RuntimeError(done.stderr)
    return done.stdout.strip()


def deliveries(report, clock, postgres, service, owner):
    """A delivery that was put off in the future is tried again now."""
    hook = {"url": "http://127.0.0.1:9/nobody-listens", "events": ["dog.created"], "active": True}
    good(owner.client().post(f"{owner.kennel}/webhooks", hook))
    clock.set(10 * DAY)
    renewed(owner)
    owner.dog()
    tried = "SELECT coalesce(max(attempts), 0) FROM webhook_deliveries"
    wait_until(lambda: int(postgres.sql(tried)) >= 1, 30, 0.5)
    before = int(postgres.sql(tried))
    clock.set(0)
    renewed(owner)
    again = wait_until(lambda: int(postgres.sql(tried)) > before, 90, 0.5)
    report.promise("a delivery was tried while ahead", before >= 1, before)
    report.promise("back: it is tried again, not in ten days", again is not None, postgres.sql(tried))


def for_good(report, clock, owner, here, early):
    """Months go by at once, as for a machine that was off."""
    clock.set(90 * DAY)
    time.sleep(1)
    report.promise("months later: sessions that were not used are over", renewed(owner) == 401)
    answer = log_in(owner, PASSWORD)
    report.promise("months later: a login is good", answer.status == 200, (answer.status, answer.body))
    if answer.status == 200:
        owner.session, owner.token = answer.body, answer.body["access_token"]
        report.promise("months later: all is there", ask(owner) == 200 and order_holds(owner))
        report.promise("months later: writes go on", write_once(owner, "later").status == 201)
