"""Doors: what comes in from outside, as much of it as may: work that costs, receivers that hang, streams."""

import base64
import json
import os
import struct
import threading
import time
import urllib.parse

import crowds
from report import spread
from service import BROKEN, Client, Owner, Service, good
from visitors import connect, memory_mb

# What the service promises with all of its room for work taken.
QUICK_SECONDS = 0.1
MOST_MB = 200
# Who is told to come again does so far sooner than told; a room that is always full is what is tried here,
# not how many refusals two processors can write.
PATIENCE_SECONDS = 0.25
DEMO = {"email": "maren@example.org", "password": "larkfell-demo-2026"}


def doors(report, folder):
    for number, work in enumerate((work_that_costs, crowds.slow_receivers, crowds.crowded_streams)):
        room = os.path.join(folder, str(number))
        os.makedirs(room)
        # The database's own user must be able to pass through.
        os.chmod(room, 0o755)
        work(report, room)


def work_that_costs(report, folder):
    with Service(folder, demo="on") as service:
        kennel = Demo(service)
        refused_logos(report, kennel)
        busy_with(report, service, kennel)
        gone_clients(report, service, kennel)


def day(after):
    """So many days from today, as it is written."""
    return time.strftime("%Y-%m-%d", time.gmtime(time.time() + after * 86_400))


class Demo:
    """The demo's owner, and a kennel of somebody else beside."""

    def __init__(self, service):
        self.port = service.port
        client = Client(self.port)
        self.token = client.token = good(client.post("/v1/auth/login", DEMO))["access_token"]
        self.kennel = "/v1/kennels/" + good(client.get("/v1/me"))["kennels"][0]["kennel_id"]
        self.other = Owner(service)
        self.other_dog = self.other.dog()
        dogs = good(client.get(f"{self.kennel}/dogs?limit=500"))["items"]
        # A dog of the list has a sex wherever it may be tried.
        self.dams = [dog["id"] for dog in dogs if dog.get("sex") == "female"]
        self.sires = [dog["id"] for dog in dogs if dog.get("sex") == "male"]
        litters = good(client.get(f"{self.kennel}/litters?born=true"))["items"]
        self.litter = max(litters, key=lambda litter: litter["whelped_on"])["id"]
        births = good(client.get(f"{self.kennel}/litters/{self.litter}/births"))["items"]
        self.pup = births[0]["dog_id"]
        self.client_of = lambda: Client(self.port, self.token)

    def dear(self):
        """The dearest requests that there are: method, path, body."""
        drafts = [
            {"dam_id": self.dams[at % len(self.dams)], "mated_on": day(30 + 7 * at)} for at in range(20)
        ]
        until = f"{int(day(0)[:4]) + 2}-12-31"
        move = {"key": "draft:1", "days_earlier": 60, "days_later": 59, "step_days": 1}
        # As many as the schema allows.
        grid = {"dams": self.dams[:40], "sires": self.sires[:50], "generations": 50}
        plan = {"litters": 100, "litters_per_dam": 10, "dams": self.dams, "sires": self.sires}
        explained = {"dams": self.dams[:4], "sires": self.sires[:5], "explain": True}
        return [
            ("POST", "/planner/what-if", {"last_on": until, "drafts": drafts, "shift": move}),
            ("POST", "/trial-matings", grid),
            ("POST", "/trial-matings", explained),
            ("POST", "/mating-plans", plan),
            ("GET", f"/planner?last_on={until}", None),
            ("GET", "/today", None),
            ("GET", f"/litters/{self.litter}/growth.svg", None),
            ("GET", f"/dogs/{self.pup}/booklet.pdf", None),
            ("GET", f"/litters/{self.litter}/whelping-sheet.pdf", None),
            ("GET", f"/dogs/{self.pup}/pedigree.svg?generations=6", None),
            ("GET", "/archive", None),
        ]


def svg(inner):
    return f'<svg xmlns="http://www.w3.org/2000/svg" xmlns:x="http://www.w3.org/1999/xlink" width="40" height="40">{inner}</svg>'


def picture(kind, data):
    return f'<image width="9" height="9" x:href="data:{kind};base64,{base64.b64encode(data).decode()}"/>'


def bombs():
    """Logos that are small to send and large to draw."""
    nested = '<rect width="1" height="1"/>'
    while len(svg(nested)) < 100_000:
        nested = picture("image/svg+xml", svg(nested).encode()) * 2
    head = b"\x89PNG\r\n\x1a\n\0\0\0\x0dIHDR" + struct.pack(">IIBBBBBI", 33_000, 33_000, 8, 2, 0, 0, 0, 0)
    uses = '<g id="l0"><rect width="1" height="1"/></g>'
    for level in range(1, 10):
        uses += f'<g id="l{level}">' + f'<use x:href="#l{level - 1}"/>' * 10 + "</g>"
    masks = ""
    for level in range(1, 10):
        masks += f'<mask id="m{level}">' + f'<rect width="1" height="1" mask="url(#m{level - 1})"/>' * 10 + "</mask>"
    return {
        "drawings within drawings": svg(nested),
        "a picture of 33,000 x 33,000": svg(picture("image/png", head)),
        "a billion by reference": svg(uses),
        "masks within masks": svg(masks + '<rect mask="url(#m9)" width="9" height="9"/>'),
    }


def refused_logos(report, kennel):
    client = kennel.client_of()
    for name, logo in bombs().items():
        etag = client.get(f"{kennel.kennel}/booklet-texts").headers["ETag"]
        began = time.monotonic()
        answer = client.call("PUT", f"{kennel.kennel}/booklet-texts", {"logo_svg": logo}, If_Match=etag)
        took = time.monotonic() - began
        report.promise(f"a logo of {name} is refused at once", answer.status == 422 and took < 0.5, (answer, took))


def watch(port, calls, ends, took):
    """Asks small things until the end, each by its own connection; the longest wait of each."""
    def one(name, client, path):
        while not ends.is_set():
            began = time.monotonic()
            status = client.get(path).status
            took.setdefault(name, []).append(time.monotonic() - began if status == 200 else 999.0)
            time.sleep(0.02)

    threads = [threading.Thread(target=one, args=(name, Client(port, token), path)) for name, token, path in calls]
    for thread in threads:
        thread.start()
    return threads


def busy_with(report, service, kennel):
    """Eight clients ask for the dearest things again and again, for fifteen seconds."""
    ends, took, answers, sizes = threading.Event(), {}, [], {}
    small = [
        ("/health/live", None, "/health/live"),
        ("a dog of the same kennel", kennel.token, f"{kennel.kennel}/dogs/{kennel.pup}"),
        ("a dog of another kennel", kennel.other.token, f"{kennel.other.kennel}/dogs/{kennel.other_dog}"),
    ]

    def ask(first):
        client, dear = kennel.client_of(), kennel.dear()
        at = first
        while not ends.is_set():
            method, path, body = dear[at % len(dear)]
            at += 1
            began = time.monotonic()
            answer = client.call(method, kennel.kennel + path, body)
            answers.append((path.split("?")[0], answer.status, answer.headers.get("Retry-After"), time.monotonic() - began))
            if answer.status == 503:
                ends.wait(PATIENCE_SECONDS)
            if "json" in answer.headers.get("Content-Type", "") and "archive" not in path:
                sizes[path.split("?")[0]] = len(json.dumps(answer.body, separators=(",", ":"), ensure_ascii=False))

    def log_in(_):
        client = Client(kennel.port)
        while not ends.is_set():
            answer = client.post("/v1/auth/login", {**DEMO, "email": f"{os.urandom(4).hex()}@example.org"})
            if answer.status in (429, 503):
                ends.wait(PATIENCE_SECONDS)
            answers.append(("login", answer.status, answer.headers.get("Retry-After"), 0))

    askers = [threading.Thread(target=ask, args=(number,)) for number in range(24)]
    askers += [threading.Thread(target=log_in, args=(number,)) for number in range(4)]
    most, began = 0, time.monotonic()
    for thread in askers:
        thread.start()
    # Once all are at it.
    time.sleep(1)
    watchers = watch(kennel.port, small, ends, took)
    while time.monotonic() - began < 15:
        most = max(most, memory_mb(service))
        time.sleep(0.05)
    ends.set()
    for thread in askers + watchers:
        thread.join(60)
    by_status = {}
    for _, status, _, _ in answers:
        by_status[status] = by_status.get(status, 0) + 1
    report.figure("dear requests in 15 s by status", json.dumps(by_status))
    for path in sorted({path for path, *_ in answers}):
        longest = [seconds for other, status, _, seconds in answers if other == path and status == 200]
        report.figure(f"  {path} answered in", spread(longest))
    report.figure("most memory meanwhile", f"{most:.0f} MiB")
    allowed = {200, 401, 422, 429, 503}
    report.promise("dear requests are done, or told to come again", set(by_status) <= allowed and by_status.get(200, 0) > 0, by_status)
    lost = [answer for answer in answers if answer[1] == 503 and not (answer[2] or "").isdigit()]
    largest = sorted(sizes.items(), key=lambda one: -one[1])
    report.promise("no answer is over 1 MB but downloads", not largest or largest[0][1] < 1 << 20, largest[:3])
    report.promise("a 503 says when to come again", not lost, lost[:3])
    for name, waits in took.items():
        waits.sort()
        report.figure(f"{name} meanwhile", f"{spread(waits)}, {len(waits)} times")
        report.promise(f"{name} stays under {QUICK_SECONDS * 1000:.0f} ms", waits[-1] < QUICK_SECONDS, waits[-3:])
    report.promise(f"memory stays under {MOST_MB} MiB", most < MOST_MB, most)


def gone_clients(report, service, kennel):
    """Work whose client has gone ends: twenty ask and go, the next is served as if they had not been."""
    method, path, body = kennel.dear()[0]
    raw = json.dumps(body).encode()
    began = time.monotonic()
    kennel.client_of().call(method, kennel.kennel + path, body)
    alone = time.monotonic() - began
    for _ in range(12):
        connection = connect(kennel.port)
        connection.sendall(
            f"POST {kennel.kennel}{path} HTTP/1.1\r\nHost: kennel\r\nAuthorization: Bearer {kennel.token}\r\n"
            f"Content-Type: application/json\r\nContent-Length: {len(raw)}\r\n\r\n".encode() + raw
        )
        time.sleep(0.05)
        connection.close()
    began = time.monotonic()
    answer = kennel.client_of().call(method, kennel.kennel + path, body)
    after = time.monotonic() - began
    report.figure("a dear request alone, and after twelve that went", f"{alone:.2f} s, {after:.2f} s")
    report.promise("nobody waits for work of those who have gone", answer.status == 200 and after < 3 * alone + 0.5, (alone, after))
