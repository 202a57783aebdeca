"""Rings: the service is killed while alarms are raised and tasks come due, and each rings at the device."""

import http.server
import random
import threading
import time
from collections import Counter
from datetime import datetime, timedelta, timezone
from zoneinfo import ZoneInfo

from report import wait_until
from service import Owner, Service, good

# The keys of RFC 8291's example: what is sent here is counted, not opened.
KEYS = {
    "p256dh": "BCVxsr7N_eNgVRqvHtD0zTZsEc6-VV-JvLexhqUzORcxaOzi6-AYWXvTBHm4bjyPjs7Vd8pZGH6SRpkNtoIAiw4",
    "auth": "BTBZMqHH6r4Tts7J_aSIgg",
}


class PushService:
    """Counts what arrives by its topic, of which each alarm and each task by itself has one."""

    def __init__(self):
        heard, lock = Counter(), threading.Lock()

        class Handler(http.server.BaseHTTPRequestHandler):
            def do_POST(self):
                self.rfile.read(int(self.headers["Content-Length"]))
                with lock:
                    heard[self.headers["Topic"]] += 1
                # Long enough for a kill in between.
                time.sleep(0.05)
                self.send_response(201)
                self.send_header("Content-Length", "0")
                self.end_headers()

            def log_message(self, *_):
                pass

        self.heard = heard
        self.server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), Handler)
        threading.Thread(target=self.server.serve_forever, daemon=True).start()

    def address(self):
        return f"http://127.0.0.1:{self.server.server_port}/push"


def ago(**span):
    return (datetime.now(timezone.utc) - timedelta(**span)).isoformat()


def pups(owner, count):
    """So many pups of two days, each of which may be seen limp."""
    client, dogs = owner.client(), []
    while len(dogs) < count:
        body = {"dam_id": owner.dog(), "sire_id": owner.dog("male")}
        litter = good(client.post(f"{owner.kennel}/litters", body))["id"]
        for ordinal in range(1, 6):
            birth = {"born_at": ago(days=2, minutes=-ordinal), "outcome": "alive", "ordinal": ordinal,
                     "sex": "female", "weight_g": 400, "presentation": "head_first", "placenta": "passed"}
            dogs.append(good(client.post(f"{owner.kennel}/litters/{litter}/births", birth))["dog_id"])
    return dogs[:count]


def listens(owner, push, **choices):
    """Has the owner rung; the alarms and tasks so far are known then."""
    client, path = owner.client(), f"{owner.kennel}/rings"
    good(client.post(f"{path}/devices", {"name": "Phone", "endpoint": push.address(), "keys": KEYS}))
    choices = {"ways": ["push"], "level": "emergency", **choices}
    good(client.call("PUT", path, choices, If_Match='"0"'))
    time.sleep(3)


def comes_due(owner, number):
    """A task is written that is due today, after the hour at which tasks ring."""
    today = datetime.now(ZoneInfo("Europe/Berlin")).date().isoformat()
    good(owner.client().post(f"{owner.kennel}/own-tasks", {"title": f"Task {number}", "due_on": today}))


def rounds(report, folder, count=20):
    chance, of_alarms, of_tasks = random.Random(7), PushService(), PushService()
    with Service(folder, webhooks_private="on") as service:
        owner, other = Owner(service), Owner(service, "Tilde")
        dogs = pups(owner, count)
        listens(owner, of_alarms)
        listens(other, of_tasks, tasks_at="00:00")
        before = sum(of_alarms.heard.values()) + sum(of_tasks.heard.values())
        for number, dog in enumerate(dogs):
            check = {"checked_at": ago(minutes=1), "signs": ["limp"]}
            good(owner.client().post(f"{owner.kennel}/dogs/{dog}/pup-checks", check))
            comes_due(other, number)
            time.sleep(chance.uniform(0.0, 0.4))
            service.kill()
            service.start()
        all_heard = lambda: min(len(of_alarms.heard), len(of_tasks.heard)) >= count
        took = wait_until(all_heard, 120)
        time.sleep(35)
        report.figure("rounds, each with an alarm, a task and a kill", count)
        report.promise("nothing rang before", before == 0, before)
        for kind, push in (("alarms", of_alarms), ("tasks", of_tasks)):
            heard = push.heard
            report.figure(f"rings of {kind} that arrived", len(heard))
            report.figure(f"{kind} sent again under their id, under way at a kill", sum(heard.values()) - len(heard))
            report.promise(f"no ring of {kind} is lost, and none comes of nothing", took is not None and len(heard) == count,
                           f"{len(heard)} of {count}")
            report.promise(f"no ring of {kind} comes again but one that was under way", max(heard.values()) <= 2, heard)
