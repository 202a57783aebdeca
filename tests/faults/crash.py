"""Crashes: the service and its Postgres are killed under writers, again and again."""

import os
import random
import signal
import time

from phones import BatchPhone, BirthPhone, WeightPhone, reckoning
from report import spread, wait_until
from service import Owner, Service, good


def postmaster(service):
    with open(os.path.join(service.folder, "data/cluster/pgdata/postmaster.pid")) as file:
        return int(file.readline())


def kill_service(service):
    """As a power switch would; started again at once, as a supervisor would."""
    service.kill()
    service.start(wait=False)


def kill_postgres(service):
    os.kill(postmaster(service), signal.SIGKILL)


def crashes(report, folder, rounds=20):
    """Every acknowledged write is there once, however often either process is killed."""
    chance = random.Random(7)
    with Service(folder, log="error,actix_http=off") as service:
        owners = [Owner(service, "Hedda"), Owner(service, "Jorun")]
        kinds = [WeightPhone, BatchPhone, BirthPhone]
        phones = [kind(owner, number) for number, (owner, kind) in
                  enumerate((owner, kind) for owner in owners for kind in kinds)]
        for phone in phones:
            phone.start()
        recovery = {kill_service: [], kill_postgres: []}
        for number in range(rounds):
            time.sleep(chance.uniform(0.3, 1.0))
            kill = (kill_service, kill_postgres)[number % 2]
            killed_at = time.monotonic()
            kill(service)
            took = wait_until(lambda: written_since(phones, killed_at), 60)
            if took is None:
                report.promise(f"round {number}: writes go on", False, service.said())
                return
            recovery[kill].append(took)
        for phone in phones:
            phone.told_to_stop.set()
        for phone in phones:
            phone.join(150)
        check(report, rounds, owners, phones, recovery)


def written_since(phones, moment):
    """Whether every kind of writer got a good answer to something sent after the moment."""
    return all(phone.acknowledged_at and phone.acknowledged_at[-1] > moment + 0.05 for phone in phones)


def check(report, rounds, owners, phones, recovery):
    sums = reckoning(phones)
    report.figure("rounds (half of them the service, half Postgres)", rounds)
    for name, value in sums.items():
        report.figure(f"writes {name}", value)
    report.figure("service killed: until every writer is served", spread(recovery[kill_service]))
    report.figure("Postgres killed: until every writer is served", spread(recovery[kill_postgres]))
    odd = [text for phone in phones for text in phone.odd]
    report.promise("nothing was answered but success or 503", not odd, odd[:3])
    report.promise("every acknowledged write is present", sums["lost"] == 0, sums)
    report.promise("no write is doubled", sums["doubled"] == 0, sums)
    report.promise("writes were in flight when it was killed", sums["sent again"] >= rounds, sums)
    whole = [owner for owner in owners if not log_is_whole(owner)]
    report.promise("the log of changes has no gap and no repeat", not whole, whole)
    orphans = [owner for owner in owners if unborn(owner)]
    report.promise("each birth has its dog and its first weight", not orphans, orphans)


def log_is_whole(owner):
    client, after, numbers = owner.client(), 0, []
    while True:
        page = good(client.get(f"{owner.kennel}/changes?after={after}"))
        numbers += [change["sequence"] for change in page["items"]]
        after = page["last_sequence"]
        if page["next_cursor"] is None:
            return numbers == list(range(1, len(numbers) + 1))


def unborn(owner):
    """Pups without a birth, or without the weight that was sent with it."""
    client = owner.client()
    births = {
        birth["dog_id"]
        for litter in owner.all_items("/litters")
        for birth in good(client.get(f"{owner.kennel}/litters/{litter['id']}/births?limit=500"))["items"]
    }
    pups = {dog["id"] for dog in owner.all_items("/dogs") if dog["sire_id"]}
    heavy = [dog for dog in sorted(births) if len(list(owner.all_items(f"/dogs/{dog}/weights"))) != 1]
    return births != pups or heavy
