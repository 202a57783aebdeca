"""Rings: the service is killed while alarms are raised, and each rings at the device."""

import http.server
import random
import threading
import time
from collections import Counter
from datetime import datetime, timedelta, timezone

from report import wait_until
from service import Owner, Service, good

# The keys of RFC 8291's example: what is sent here is counted, not opened.
KEYS = {
    "p256dh": "BCVxsr7N_eNgVRqvHtD0zTZsEc6-VV-JvLexhqUzORcxaOzi6-AYWXvTBHm4bjyPjs7Vd8pZGH6SRpkNtoIAiw4",
    "auth": "BTBZMqHH6r4Tts7J_aSIgg",
}


class PushService:
    """Counts what arrives by its topic, of which each alarm has one."""

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


def listens(owner, push):
    """Has the owner rung; the pups' alarms so far are known then."""
    client, path = owner.client(), f"{owner.kennel}/rings"
    good(client.post(f"{path}/devices", {"name": "Phone", "endpoint": push.address(), "keys": KEYS}))
    choices = {"ways": ["push"], "level": "emergency"}
    good(client.call("PUT", path, choices, If_Match='"0"'))
    time.sleep(3)


def rounds(report, folder, count=20):
    chance, push = random.Random(7), PushService()
    with Service(folder, webhooks_private="on") as service:
        owner = Owner(service)
        dogs = pups(owner, count)
        listens(owner, push)
        before = sum(push.heard.values())
        for dog in dogs:
            check = {"checked_at": ago(minutes=1), "signs": ["limp"]}
            good(owner.client().post(f"{owner.kennel}/dogs/{dog}/pup-checks", check))
            time.sleep(chance.uniform(0.0, 0.4))
            service.kill()
            service.start()
        took = wait_until(lambda: len(push.heard) >= count, 120)
        time.sleep(35)
        again = sum(push.heard.values()) - len(push.heard)
        report.figure("rounds, each with an alarm and a kill", count)
        report.figure("rings that arrived", len(push.heard))
        report.figure("sent again under their id, under way at a kill", again)
        report.promise("nothing rang before", before == 0, before)
        report.promise("no ring is lost", took is not None, f"{len(push.heard)} of {count}")
        report.promise("no ring comes again but one that was under way", max(push.heard.values()) <= 2, push.heard)
