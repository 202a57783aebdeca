"""Instances that start at once on an empty database: one of them migrates, all of them serve."""

import glob
import os
import threading

from postgres import Postgres
from report import seconds, wait_until
from service import BROKEN, Client, Service, good

LOGIN = {"email": "maren@example.org", "password": "larkfell-demo-2026"}


def migrations():
    root = os.path.join(os.path.dirname(os.path.abspath(__file__)), "../..")
    return len(glob.glob(os.path.join(root, "migrations/*/up.sql")))


def start_at_once(report, folder):
    with Postgres(folder) as postgres:
        services = [Service(folder, postgres.url(), demo="on") for _ in range(3)]
        # Roles belong to the whole server: another database's migrations meet these there.
        other = postgres.new_database("another")
        services.append(Service(folder, other, demo="on"))
        for service in services:
            service.start(wait=False)
        try:
            ready = wait_until(lambda: all(is_up(service) for service in services), 120, 0.1)
            said = [service.said() for service in services if service.ended()]
            report.promise("all four come up", ready is not None and not said, said)
            report.figure("all ready after", seconds(ready or -1))
            look(report, postgres, services)
        finally:
            for service in services:
                service.stop()


def is_up(service):
    return service.ended() or service.status("/health/ready") == 200


def look(report, postgres, services):
    for database in ("denwright", "another"):
        applied = postgres.sql("SELECT count(*), count(DISTINCT version) FROM __diesel_schema_migrations", database)
        expected = f"{migrations()}|{migrations()}"
        report.promise(f"each migration was applied once in {database}", applied == expected, (applied, expected))
        report.promise(f"the demo was loaded once in {database}", postgres.sql("SELECT count(*) FROM kennels", database) == "2")
        report.promise(f"one key signs in {database}", postgres.sql("SELECT count(*) FROM signing_keys", database) == "1")
    token = good(Client(services[0].port).post("/v1/auth/login", LOGIN))["access_token"]
    answers = []

    def read(service):
        try:
            answers.append(Client(service.port, token).get("/v1/me").status)
        except BROKEN as error:
            answers.append(repr(error))

    threads = [threading.Thread(target=read, args=(service,)) for service in services[:3]]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    report.promise("a login on one is good on the others", answers == [200] * 3, answers)
