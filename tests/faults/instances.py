"""Two instances on one database behind a reverse proxy, killed in turn under writers and a reader."""

import http.client
import json
import os
import shutil
import subprocess
import threading
import time
import uuid

from phones import BatchPhone, BirthPhone, WeightPhone, reckoning
from postgres import Postgres
from report import seconds, spread, wait_until
from service import BROKEN, PASSWORD, Client, Owner, Service, free_port, good

# What README says of a proxy, and no more: no buffering of streams comes from the service's header.
NGINX = """
daemon off; worker_processes 1; pid {folder}/nginx.pid; error_log {folder}/nginx.log warn;
events {{ worker_connections 512; }}
http {{
    access_log off; client_max_body_size 128m; client_body_temp_path {folder}/body; proxy_temp_path {folder}/proxy;
    fastcgi_temp_path {folder}/fastcgi; uwsgi_temp_path {folder}/uwsgi; scgi_temp_path {folder}/scgi;
    upstream denwright {{ server 127.0.0.1:{one} fail_timeout=1s; server 127.0.0.1:{two} fail_timeout=1s; }}
    server {{
        listen 127.0.0.1:{port};
        location / {{
            proxy_pass http://denwright; proxy_http_version 1.1; proxy_set_header Connection "";
            proxy_set_header Host $host; proxy_set_header X-Forwarded-For $proxy_add_x_forwarded_for;
            proxy_read_timeout 1h;
        }}
    }}
}}
"""


class Proxy:
    """nginx in front of two instances."""

    def __init__(self, folder, services):
        self.port = free_port()
        self.file = os.path.join(folder, "nginx.conf")
        with open(self.file, "w") as file:
            file.write(NGINX.format(folder=folder, port=self.port, one=services[0].port, two=services[1].port))

    def __enter__(self):
        self.process = subprocess.Popen([program(), "-c", self.file])
        wait_until(lambda: self.status() == 200, 10)
        return self

    def status(self):
        try:
            return Client(self.port).get("/health/live").status
        except BROKEN:
            return None

    def __exit__(self, *_):
        self.process.terminate()
        self.process.wait(10)


def program():
    return shutil.which("nginx") or shutil.which("nginx", path="/usr/sbin")


class Reader(threading.Thread):
    """Follows the stream of changes and goes on by the last number whenever it breaks."""

    def __init__(self, owner):
        super().__init__(daemon=True)
        self.owner, self.seen, self.times_opened, self.over = owner, [], 0, False

    def run(self):
        while not self.over:
            try:
                self.follow()
            except BROKEN:
                time.sleep(0.05)

    def follow(self):
        connection = http.client.HTTPConnection("127.0.0.1", self.owner.port, timeout=30)
        headers = {"Authorization": f"Bearer {self.owner.token}", "Accept": "text/event-stream"}
        if self.seen:
            headers["Last-Event-ID"] = str(self.seen[-1])
        connection.request("GET", f"{self.owner.kennel}/changes", headers=headers)
        answer = connection.getresponse()
        if answer.status != 200:
            time.sleep(0.1)
            return
        self.times_opened += 1
        number = None
        while line := answer.readline():
            # An event counts once it is whole, as a browser counts it.
            if line.startswith(b"id: "):
                number = int(line[4:])
            elif line == b"\n" and number is not None:
                self.seen.append(number)
                number = None
            if self.over:
                return


def behind_a_proxy(report, folder):
    if program() is None:
        report.skip("two instances behind a proxy: nginx is missing (Debian: apt-get install nginx-light)")
        return
    with Postgres(folder) as postgres:
        services = [Service(folder, postgres.url(), proxies=1) for _ in range(2)]
        for service in services:
            service.start()
        with Proxy(folder, services) as proxy:
            try:
                owner = Owner(services[0])
                one_login(report, services, proxy, owner)
                one_answer(report, services, owner)
                owner.port = proxy.port
                killed_in_turn(report, services, owner)
            finally:
                for service in services:
                    service.stop()


def one_login(report, services, proxy, owner):
    ports = [services[1].port, proxy.port]
    statuses = [owner.client(port).get("/v1/me").status for port in ports]
    report.promise("a login on one is good on the other and through the proxy", statuses == [200, 200], statuses)
    body = {"refresh_token": owner.session["refresh_token"]}
    owner.session = good(Client(services[1].port).post("/v1/auth/refresh", body))
    spent = Client(services[0].port).post("/v1/auth/refresh", body)
    report.promise("a refresh token that the other took is spent", spent.status == 401, spent.status)
    owner.session = good(Client(proxy.port).post("/v1/auth/login", {"email": owner.email, "password": PASSWORD}))
    owner.token = owner.session["access_token"]


def one_answer(report, services, owner):
    key, body, answers = str(uuid.uuid4()), {"name": "Once", "residence": "here"}, []

    def post(service):
        answers.append(owner.client(service.port).post(f"{owner.kennel}/dogs", body, Idempotency_Key=key))

    threads = [threading.Thread(target=post, args=(service,)) for service in services * 4]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    ids = {answer.body["id"] for answer in answers if answer.status == 201}
    report.promise("one key on both instances at once: one answer", len(answers) == 8 and len(ids) == 1, ids)
    names = [dog["name"] for dog in owner.all_items("/dogs")]
    report.promise("and one row", names.count("Once") == 1, names)


def killed_in_turn(report, services, owner, rounds=6):
    reader = Reader(owner)
    reader.start()
    phones = [kind(owner, number) for number, kind in enumerate([WeightPhone, BatchPhone, BirthPhone])]
    for phone in phones:
        phone.start()
    gaps = []
    for number in range(rounds):
        time.sleep(1)
        service, killed_at = services[number % 2], time.monotonic()
        service.kill()
        gaps.append(wait_until(lambda: all(p.acknowledged_at and p.acknowledged_at[-1] > killed_at for p in phones), 30) or 999)
        service.start()
    for phone in phones:
        phone.told_to_stop.set()
    for phone in phones:
        phone.join(150)
    last = last_sequence(owner)
    caught_up = wait_until(lambda: reader.seen and reader.seen[-1] >= last, 30)
    reader.over = True
    told(report, phones, reader, last, gaps, caught_up)


def last_sequence(owner):
    client, after = owner.client(), 0
    while True:
        page = good(client.get(f"{owner.kennel}/changes?after={after}"))
        after = page["last_sequence"]
        if page["next_cursor"] is None:
            return after


def told(report, phones, reader, last, gaps, caught_up):
    sums = reckoning(phones)
    report.figure("an instance killed, times", len(gaps))
    report.figure("until every writer is served by the other", spread(gaps))
    for name, value in sums.items():
        report.figure(f"writes {name}", value)
    report.figure("changes read live / times the stream was opened", f"{len(reader.seen)} / {reader.times_opened}")
    report.figure("the reader had caught up after", seconds(caught_up if caught_up is not None else -1))
    odd = [text for phone in phones for text in phone.odd]
    report.promise("nothing was answered but success, or to come back", not odd, odd[:3])
    report.promise("nothing is lost or doubled", sums["lost"] == sums["doubled"] == 0, sums)
    report.promise("the stream was broken and taken up again", reader.times_opened > 1, reader.times_opened)
    whole = reader.seen == list(range(1, last + 1))
    report.promise("every change came once and in order", whole, json.dumps(reader.seen)[:300])
