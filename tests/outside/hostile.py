"""A hostile client: bad bodies on every operation of the published document.

    hostile.py URL TOKEN KENNEL PROCESS

Deep, huge, compressed, slow and truncated bodies, as nobody and as the kennel's owner. Prints what it
found; ends with 1 when memory, an answer or a small request went beyond what is promised.
"""

import gzip
import http.client
import json
import random
import re
import socket
import sys
import threading
import time
import urllib.parse

MOST_MB = 200
MOST_ANSWER = 1 << 20
MOST_SECONDS = 0.25
SIZES = {"none": 16 << 10, "login": 16 << 10, "member": 1 << 20, "large": 17 << 20}
DOWNLOADS = ("/archive", "/export", ".pdf", ".svg", ".ics", "/openapi.json")


def is_whole(answer):
    """Whether an answer is there to its end, by its length or its last chunk."""
    head, end, body = bytes(answer).partition(b"\r\n\r\n")
    if not end:
        return False
    length = re.search(rb"(?i)\r\ncontent-length: *(\d+)", head)
    if length:
        return len(body) >= int(length[1])
    if re.search(rb"(?i)\r\ntransfer-encoding: *chunked", head):
        return body.endswith(b"0\r\n\r\n")
    return b" 204 " in head.partition(b"\r\n")[0]


class Hostile:
    def __init__(self, url, token, kennel, process):
        parts = urllib.parse.urlsplit(url)
        self.address = (parts.hostname, parts.port)
        self.token, self.kennel, self.process = token, kennel, process
        self.faults, self.answered, self.waits = [], {}, []
        self.most_mb, self.largest, self.ends = 0.0, (0, ""), threading.Event()

    def memory_mb(self):
        with open(f"/proc/{self.process}/status") as status:
            return next(int(line.split()[1]) for line in status if line.startswith("VmRSS")) / 1024

    def watch(self):
        connection = http.client.HTTPConnection(*self.address, timeout=30)
        while not self.ends.is_set():
            began = time.monotonic()
            connection.request("GET", "/health/live")
            answer = connection.getresponse()
            answer.read()
            took = time.monotonic() - began
            self.waits.append(took)
            if answer.status != 200 or took > MOST_SECONDS:
                self.faults.append(f"/health/live: {answer.status} after {took * 1000:.0f} ms")
            self.most_mb = max(self.most_mb, self.memory_mb())
            time.sleep(0.01)

    def operations(self):
        connection = http.client.HTTPConnection(*self.address, timeout=30)
        connection.request("GET", "/openapi.json")
        document = json.loads(connection.getresponse().read())
        ids = {"kennel_id": self.kennel, "sequence": "1", "year": "2026"}
        for path, item in document["paths"].items():
            filled = re.sub(r"\{(\w+)\}", lambda m: ids.get(m[1], "00000000-0000-7000-8000-000000000000"), path)
            for method, operation in item.items():
                if method not in ("get", "post", "put", "patch", "delete") or path.endswith("/logout-everywhere"):
                    continue
                content = operation.get("requestBody", {}).get("content", {"application/json": {}})
                media_type = next(iter(content))
                needs = "none" if operation.get("security") == [] else "member" if "{kennel_id}" in path else "login"
                if media_type in ("text/csv", "application/zip") or path.endswith("/batch"):
                    needs = "large"
                yield method.upper(), filled, media_type, needs

    def head(self, method, path, media_type, headers):
        lines = [f"{method} {path} HTTP/1.1", "Host: kennel", f"Authorization: Bearer {self.token}", 'If-Match: "1"']
        lines += [f"Content-Type: {media_type}", "Connection: close"] + headers
        return "\r\n".join(lines).encode() + b"\r\n\r\n"

    def send(self, name, operation, headers, parts, pause=0.0, cut=False):
        """Sends a request in parts and reads what is answered."""
        method, path, media_type, _ = operation
        connection = socket.create_connection(self.address, timeout=60)
        answer = bytearray()
        try:
            connection.sendall(self.head(method, path, media_type, headers))
            for part in parts:
                connection.sendall(part)
                time.sleep(pause)
            if cut:
                connection.close()
                return
        except OSError:
            pass
        try:
            # Not until the connection ends: a service may keep one open for the rest of what it was promised.
            while not is_whole(answer) and (part := connection.recv(1 << 16)):
                answer += part
        except OSError:
            self.faults.append(f"{name} {method} {path}: no whole answer in 60 s")
        connection.close()
        status = int(answer.split(b" ", 2)[1]) if answer.startswith(b"HTTP/1.1 ") else 0
        self.answered[(name, status)] = self.answered.get((name, status), 0) + 1
        is_download = path.endswith(DOWNLOADS)
        if len(answer) > self.largest[0] and not is_download:
            self.largest = (len(answer), f"{name} {method} {path}")
        if len(answer) > MOST_ANSWER and not is_download:
            self.faults.append(f"{name} {method} {path}: an answer of {len(answer)} bytes")
        if status >= 500 and status != 503:
            self.faults.append(f"{name} {method} {path}: {status} {bytes(answer[-300:])}")

    def attack(self, operation):
        size = SIZES[operation[3]]
        length = lambda body: [f"Content-Length: {len(body)}"]
        bodies = {
            "deep": b"[" * min(size, 100_000),
            "deep objects": b'{"a":' * 20_000,
            "huge": b'{"note":"' + b"x" * size + b'"}',
            "at the limit": b'{"note":"' + b"x" * (size - 11) + b'"}',
            "many values": b"[" + b"0," * (size // 2 - 2) + b"0]",
            "many empty objects": b"[" + b"{}," * (size // 3 - 2) + b"{}]",
            "many fields": ("{" + ",".join(f'"f{n}":1' for n in range(size // 12)) + "}").encode()[:size],
            "many rows": b'{"items":[' + b",".join([b'{"id":"x","weight_g":0.5}'] * (size // 30)) + b"]}",
            "no text": bytes(range(256)) * 32,
            "long names": json.dumps({"y" * 5_000: {"z" * 5_000: "w" * 5_000}}).encode(),
            "lines": b"id,name,sex\n" + b"x,Ada,neither\n" * (size // 15),
        }
        for name, body in bodies.items():
            self.send(name, operation, length(body), [body])
        chunks = [b"%x\r\n%s\r\n" % (len(part), part) for part in (b" " * 60_000,) * (size // 60_000 + 2)]
        self.send("endless chunks", operation, ["Transfer-Encoding: chunked"], chunks)
        packed = gzip.compress(b"0," * 10_000_000, 9)
        self.send("compressed", operation, length(packed) + ["Content-Encoding: gzip"], [packed])
        self.send("compressed otherwise", operation, length(packed) + ["Content-Encoding: br"], [packed])
        self.send("a length that lies", operation, ["Content-Length: 99999999999"], [b"{}"], cut=True)
        self.send("truncated", operation, ["Content-Length: 1000"], [b'{"note":"'], cut=True)
        self.send("half a chunk", operation, ["Transfer-Encoding: chunked"], [b"ffff\r\nxx"], cut=True)

    def slow(self, operations):
        """Two hundred who send a byte now and then, all at once."""
        connections = []
        for _ in range(200):
            operation = random.choice(operations)
            connection = socket.create_connection(self.address, timeout=60)
            connection.sendall(self.head(*operation[:3], ["Content-Length: 16000"]))
            connections.append(connection)
        for _ in range(8):
            for connection in connections:
                try:
                    connection.send(b" ")
                except OSError:
                    pass
            time.sleep(0.25)
        for connection in connections:
            connection.close()

    def run(self):
        operations = list(self.operations())
        watcher = threading.Thread(target=self.watch, daemon=True)
        watcher.start()
        before = self.memory_mb()
        waiting = operations[:]
        random.Random(7).shuffle(waiting)

        def work():
            while waiting:
                try:
                    operation = waiting.pop()
                except IndexError:
                    return
                self.attack(operation)

        threads = [threading.Thread(target=work) for _ in range(3)]
        for thread in threads:
            thread.start()
        self.slow(operations)
        for thread in threads:
            thread.join()
        self.ends.set()
        watcher.join(30)
        if self.most_mb > MOST_MB:
            self.faults.append(f"memory: {self.most_mb:.0f} MiB")
        self.waits.sort()
        print(f"{len(operations)} operations, {sum(self.answered.values())} answers")
        for (name, status), count in sorted(self.answered.items()):
            print(f"   {name:<22} {status} {count:>5}")
        print(f"memory before {before:.0f} MiB, at most {self.most_mb:.0f} MiB")
        print(f"largest answer {self.largest[0]} bytes ({self.largest[1]})")
        print(f"/health/live: median {self.waits[len(self.waits) // 2] * 1000:.1f} ms, longest {self.waits[-1] * 1000:.1f} ms")
        for fault in self.faults[:40]:
            print("NOT GOOD", fault)
        return 1 if self.faults else 0


if __name__ == "__main__":
    sys.exit(Hostile(*sys.argv[1:5]).run())
