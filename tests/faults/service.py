"""The service as a process of its own, and people who talk to it over HTTP."""

import http.client
import json
import os
import signal
import socket
import subprocess
import time
from collections import namedtuple

from report import wait_until

Answer = namedtuple("Answer", "status headers body")

PASSWORD = "a pass phrase for faults"

# What a broken connection looks like from this side.
BROKEN = (OSError, http.client.HTTPException)


def free_port():
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        return taken.getsockname()[1]


class Service:
    """`denwright serve` on a port that stays the same over restarts."""

    program = None

    def __init__(self, folder, database_url=None, environment=None, **settings):
        self.folder = folder
        self.port = free_port()
        self.url = f"http://127.0.0.1:{self.port}"
        self.process = None
        self.environment = {
            **{name: value for name, value in os.environ.items() if not name.startswith("DENWRIGHT")},
            "DENWRIGHT_LISTEN": f"127.0.0.1:{self.port}",
            "DENWRIGHT_DATA": os.path.join(folder, "data"),
            "DENWRIGHT_SIGNUP": "open",
            "DENWRIGHT_ACCESS_MINUTES": "1440",
            "DENWRIGHT_LOG": "warn,actix_http=off",
            **(environment or {}),
        }
        self.environment.pop("DATABASE_URL", None)
        if database_url:
            self.environment["DATABASE_URL"] = database_url
        for name, value in settings.items():
            self.environment["DENWRIGHT_" + name.upper()] = str(value)

    @property
    def log(self):
        return os.path.join(self.folder, f"service-{self.port}.log")

    def start(self, wait=True):
        with open(self.log, "ab") as log:
            self.process = subprocess.Popen([self.program, "serve"], env=self.environment, stdout=log, stderr=log)
        if wait and self.wait_ready() is None:
            raise RuntimeError(f"the service did not become ready: {self.said()}")
        return self

    def wait_ready(self, patience=60.0):
        return wait_until(lambda: self.status("/health/ready") == 200 or self.ended(), patience, 0.02)

    def ended(self):
        return self.process.poll() is not None

    def status(self, path):
        """The status of a GET without a login; None when nobody answers."""
        try:
            return Client(self.port, patience=20).get(path).status
        except BROKEN:
            return None

    def kill(self):
        self.process.kill()
        self.process.wait()

    def terminate(self):
        self.process.send_signal(signal.SIGTERM)

    def stop(self, patience=60):
        """Stops it; the exit code and the seconds that it took."""
        if self.process is None or self.ended():
            return None, 0.0
        began = time.monotonic()
        self.terminate()
        try:
            code = self.process.wait(patience)
        except subprocess.TimeoutExpired:
            self.kill()
            code = -9
        return code, time.monotonic() - began

    def said(self, lines=15):
        with open(self.log, errors="replace") as log:
            return "".join(log.readlines()[-lines:])

    def __enter__(self):
        return self.start()

    def __exit__(self, *_):
        self.stop()


class Client:
    """One connection, opened anew when it breaks; not shared by threads."""

    def __init__(self, port, token=None, patience=60.0):
        self.port, self.token, self.patience = port, token, patience
        self.connection = None

    def call(self, method, path, body=None, **headers):
        if self.connection is None:
            self.connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=self.patience)
        sent = {"Content-Type": "application/json", **{k.replace("_", "-"): v for k, v in headers.items()}}
        if self.token:
            sent["Authorization"] = f"Bearer {self.token}"
        try:
            self.connection.request(method, path, json.dumps(body) if body is not None else None, sent)
            answer = self.connection.getresponse()
            raw = answer.read()
        except BROKEN:
            self.close()
            raise
        kind = answer.headers.get("Content-Type", "")
        return Answer(answer.status, answer.headers, json.loads(raw) if "json" in kind else raw)

    def get(self, path, **headers):
        return self.call("GET", path, **headers)

    def post(self, path, body, **headers):
        return self.call("POST", path, body, **headers)

    def close(self):
        if self.connection is not None:
            self.connection.close()
        self.connection = None


def good(answer):
    """The body of an answer that must be a good one."""
    if answer.status not in (200, 201):
        raise RuntimeError(f"{answer.status}: {answer.body}")
    return answer.body


class Owner:
    """A person with a kennel of their own."""

    def __init__(self, service, name="Hedda"):
        self.port = service.port
        client = Client(self.port)
        self.email = f"{name.lower()}-{os.urandom(4).hex()}@example.org"
        good(client.post("/v1/people", {"name": name, "email": self.email, "password": PASSWORD}))
        self.session = good(client.post("/v1/auth/login", {"email": self.email, "password": PASSWORD}))
        self.token = client.token = self.session["access_token"]
        founded = good(client.post("/v1/kennels", {"name": f"{name}'s kennel", "time_zone": "Europe/Berlin"}))
        self.kennel = f"/v1/kennels/{founded['id']}"

    def client(self, port=None, patience=60.0):
        return Client(port or self.port, self.token, patience)

    def dog(self, sex="female", born_on="2021-03-04"):
        body = {"name": f"{sex} {os.urandom(3).hex()}", "sex": sex, "born_on": born_on, "residence": "here"}
        return good(self.client().post(f"{self.kennel}/dogs", body))["id"]

    def all_items(self, path):
        """Every row of a list, page by page."""
        client, cursor = self.client(), ""
        while True:
            page = good(client.get(f"{self.kennel}{path}?limit=500{cursor}"))
            yield from page["items"]
            if page["next_cursor"] is None:
                return
            cursor = f"&cursor={page['next_cursor']}"
