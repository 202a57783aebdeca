"""Slow clients, readers that never read, and a stop while requests are in flight."""

import json
import socket
import threading
import time

from report import seconds, spread, wait_until
from service import BROKEN, Client, Owner, Service

# What the service promises: README, scripts/Containerfile.
HEAD_SECONDS = 15
STOP_SECONDS = 25
UNREAD_SECONDS = 60


def slow_clients(report, folder):
    with Service(folder, request_seconds=5) as service:
        owner = Owner(service)
        slow_heads(report, service, owner)
        slow_bodies(report, service, owner)
    with Service(folder) as service:
        unread_streams(report, service, Owner(service))


def connect(port):
    connection = socket.create_connection(("127.0.0.1", port))
    connection.settimeout(90)
    return connection


def head(owner, path, length, method="POST"):
    return (
        f"{method} {owner.kennel}{path} HTTP/1.1\r\nHost: kennel\r\nAuthorization: Bearer {owner.token}\r\n"
        f"Content-Type: application/json\r\nContent-Length: {length}\r\n\r\n"
    ).encode()


def drip(connection, told):
    """A byte a second, for as long as it is taken; notes when the other side ends it and with what."""
    began, answer = time.monotonic(), b""
    connection.settimeout(1)
    try:
        while time.monotonic() - began < 90:
            connection.send(b"x")
            try:
                part = connection.recv(4096)
                if not part:
                    break
                answer += part
            except TimeoutError:
                pass
    except OSError:
        pass
    told.append((time.monotonic() - began, answer))


def drip_all(service, count, first):
    """So many clients that begin with `first` and then drip; what became of them."""
    told, threads = [], []
    for _ in range(count):
        connection = connect(service.port)
        connection.sendall(first)
        threads.append(threading.Thread(target=drip, args=(connection, told), daemon=True))
        threads[-1].start()
    return threads, told


def served_meanwhile(owner, threads):
    """How long others wait while the slow ones drip."""
    client, took = owner.client(), []
    while any(thread.is_alive() for thread in threads) and len(took) < 300:
        began = time.monotonic()
        answer = client.get(f"{owner.kennel}/dogs")
        took.append(time.monotonic() - began)
        if answer.status != 200:
            return [999.0]
        time.sleep(0.1)
    return took


def slow_heads(report, service, owner):
    threads, told = drip_all(service, 300, b"GET /v1/me HTTP/1.1\r\nHost: kennel\r\nX-Slow: ")
    took = served_meanwhile(owner, threads)
    for thread in threads:
        thread.join(100)
    ended = [after for after, _ in told]
    report.figure("300 clients that send a byte of the head a second: ended", spread(ended))
    report.figure("others were answered meanwhile in", spread(took))
    report.promise(f"each is ended within {HEAD_SECONDS + 2} s", len(ended) == 300 and max(ended) < HEAD_SECONDS + 2)
    report.promise("others are served while heads drip", max(took) < 2, took)


def slow_bodies(report, service, owner):
    threads, told = drip_all(service, 300, head(owner, "/dogs", 10_000))
    took = served_meanwhile(owner, threads)
    for thread in threads:
        thread.join(100)
    ended = [after for after, _ in told]
    report.figure("300 clients that send a byte of the body a second: ended", spread(ended))
    report.figure("others were answered meanwhile in", spread(took))
    clear = [answer for _, answer in told if b" 408 " in answer.split(b"\r\n")[0] and b"problem+json" in answer]
    report.promise("each is told 408 at the limit (5 s here)", len(clear) == 300 and max(ended) < 8, (len(clear), max(ended)))
    report.promise("others are served while bodies drip", max(took) < 2, max(took))


def open_stream(port, owner):
    """A live stream of changes whose bytes are in nobody's way but the system's."""
    connection = socket.socket()
    # Little room on this side, so that the other side must hold what is not read.
    connection.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
    connection.connect(("127.0.0.1", port))
    connection.sendall(
        f"GET {owner.kennel}/changes HTTP/1.1\r\nHost: kennel\r\nAuthorization: Bearer {owner.token}\r\n"
        "Accept: text/event-stream\r\n\r\n".encode()
    )
    return connection


def streams_open(service):
    text = Client(service.port).get("/metrics").body.decode()
    return int(next(line.split()[1] for line in text.splitlines() if line.startswith("denwright_streams")))


def memory_mb(service):
    with open(f"/proc/{service.process.pid}/status") as status:
        return next(int(line.split()[1]) for line in status if line.startswith("VmRSS")) / 1024


def unread_streams(report, service, owner):
    """Readers of the stream that never read, while 40 MB of changes are written."""
    client = owner.client()
    before = memory_mb(service)
    unread = [open_stream(service.port, owner) for _ in range(20)]
    opened = wait_until(lambda: streams_open(service) >= 20, 10)
    took, began = [], time.monotonic()
    for number in range(400):
        one = time.monotonic()
        answer = client.post(f"{owner.kennel}/dogs", {"residence": "here", "note": f"{number} " + "n" * 9_900})
        took.append(time.monotonic() - one)
        if answer.status != 201:
            report.promise("writes go on", False, answer)
            return
    report.promise("20 streams are open", opened is not None, streams_open(service))
    report.figure("a write of 10 kB while nobody reads", spread(took))
    grown = memory_mb(service) - before
    report.figure("memory grown meanwhile", f"{grown:.0f} MiB")
    report.promise("what is not read is not heaped up", grown < 60, grown)
    report.promise("others are served while streams are not read", max(took) < 2, max(took))
    gone = wait_until(lambda: streams_open(service) == 0, UNREAD_SECONDS + 40, 1)
    report.promise(f"a reader that reads nothing for {UNREAD_SECONDS} s is let go", gone is not None, streams_open(service))
    report.figure("all were let go after", seconds(time.monotonic() - began))
    for connection in unread:
        connection.close()


def shutdown(report, folder):
    service = Service(folder).start()
    owner = Owner(service)
    dog = owner.dog()
    body = json.dumps({"name": "Late", "residence": "here", "note": "n" * 5_000}).encode()
    slow = connect(service.port)
    slow.sendall(head(owner, "/dogs", len(body)) + body[:1000])
    stream = open_stream(service.port, owner)
    idle = owner.client()
    idle.get(f"{owner.kennel}/dogs")
    wait_until(lambda: streams_open(service) == 1, 5)
    began = time.monotonic()
    service.terminate()
    refused = wait_until(lambda: is_refused(service), 5)
    report.promise("new connections are refused", refused is not None)
    for part in range(1000, len(body), 1000):
        time.sleep(0.5)
        slow.sendall(body[part:part + 1000])
    answer = slow.recv(65536).decode()
    report.promise("an upload in flight gets its answer", answer.startswith("HTTP/1.1 201"), answer[:100])
    code = service.process.wait(60)
    took = time.monotonic() - began
    report.figure("stopped, with a stream open and 2 s of upload to come, in", seconds(took))
    report.promise("it ends in order", code == 0, (code, service.said()))
    report.promise(f"within {STOP_SECONDS} s", took < STOP_SECONDS, took)
    report.promise("an open stream does not hold it up", took < 8, took)
    stream.close()
    service.start()
    names = [row["name"] for row in owner.all_items("/dogs")]
    report.promise("the upload was kept, once", names.count("Late") == 1 and any(row["id"] == dog for row in owner.all_items("/dogs")), names)
    busy(report, service, owner, dog)


def is_refused(service):
    try:
        connect(service.port).close()
    except ConnectionRefusedError:
        return True
    return False


def busy(report, service, owner, dog):
    """A stop in the middle of many small writes: each is answered well or was never begun."""
    acknowledged, broken = [], []

    def write(number):
        client = owner.client(patience=30)
        for count in range(2000):
            at = f"2025-{number + 1:02}-{count // 1440 + 1:02}T{count // 60 % 24:02}:{count % 60:02}:00Z"
            try:
                answer = client.post(f"{owner.kennel}/dogs/{dog}/weights", {"measured_at": at, "weight_g": 24_000})
            except ConnectionRefusedError:
                return
            except BROKEN as error:
                broken.append((at, repr(error)))
                return
            if answer.status != 201:
                broken.append((at, answer.status))
                return
            acknowledged.append(at)

    threads = [threading.Thread(target=write, args=(number,)) for number in range(8)]
    for thread in threads:
        thread.start()
    time.sleep(1)
    code, took = service.stop()
    for thread in threads:
        thread.join(40)
    service.start()
    kept = {row["measured_at"] for row in owner.all_items(f"/dogs/{dog}/weights")}
    report.figure("writes until a stop among eight writers", len(acknowledged))
    report.figure("stopped among eight writers in", seconds(took))
    report.figure("requests cut off between answers", len(broken))
    report.promise("it ends in order among writers", code == 0, code)
    report.promise("every acknowledged write is kept", set(acknowledged) <= kept, len(set(acknowledged) - kept))
    unanswered = [(at, why) for at, why in broken if at in kept]
    report.promise("nothing is written whose answer was cut off", not unanswered, unanswered)
    service.stop()
