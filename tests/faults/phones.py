"""Phones in the whelping room: each write is sent until it is answered, as an outbox does."""

import threading
import time
import uuid
from datetime import datetime, timedelta, timezone

from service import BROKEN, good


class Phone(threading.Thread):
    """Writes one thing after another until told to stop; the last one is still brought to its end."""

    def __init__(self, owner, number):
        super().__init__(daemon=True)
        self.owner, self.number = owner, number
        self.client = owner.client(patience=30)
        self.told_to_stop = threading.Event()
        self.made = 0
        # What was answered well: the mark of each write, and the id that it got.
        self.acknowledged = {}
        self.acknowledged_at = []
        self.sent_again = 0
        self.odd = []

    def run(self):
        try:
            while not self.told_to_stop.is_set():
                self.made += 1
                self.write()
        except Exception as error:  # a thread's fault must reach the report
            self.odd.append(repr(error))

    def send(self, path, body):
        """Sends until it is answered well; the same body and key each time."""
        key, first, began = str(uuid.uuid4()), True, time.monotonic()
        while time.monotonic() - began < 120:
            try:
                answer = self.client.post(self.owner.kennel + path, body, Idempotency_Key=key)
                if answer.status in (200, 201):
                    self.acknowledged_at.append(time.monotonic())
                    self.sent_again += not first
                    return answer.body
                # A proxy says 502 or 504 for an instance that is gone.
                if answer.status not in (502, 503, 504):
                    self.odd.append(f"{path}: {answer.status} {answer.body}")
                    return None
            except BROKEN:
                pass
            first = False
            time.sleep(0.05)
        self.odd.append(f"{path}: no good answer in two minutes")
        return None

    def a_time(self):
        """A time in the past that no other write of this phone has."""
        at = datetime.now(timezone.utc) - timedelta(days=200) + timedelta(seconds=self.made)
        return at.strftime("%Y-%m-%dT%H:%M:%S.%f")[:-3] + "Z"


class WeightPhone(Phone):
    """One weight a request."""

    def __init__(self, owner, number):
        super().__init__(owner, number)
        self.dog = owner.dog()

    def write(self):
        # Two tenths of a second apart at least, so that no two are taken for one.
        note = f"phone {self.number}, weight {self.made}"
        body = {"measured_at": self.a_time(), "weight_g": 24_000 + self.made % 100, "note": note}
        kept = self.send(f"/dogs/{self.dog}/weights", body)
        if kept:
            self.acknowledged[note] = kept["id"]

    def present(self):
        return [(row["note"], row["id"]) for row in self.owner.all_items(f"/dogs/{self.dog}/weights")]


class BatchPhone(WeightPhone):
    """Ten weights a request, under ids made here."""

    def write(self):
        rows = []
        for row in range(10):
            at = datetime.now(timezone.utc) - timedelta(days=150, minutes=-row) + timedelta(hours=self.made)
            rows.append({
                "id": str(uuid.uuid4()), "dog_id": self.dog, "weight_g": 24_000 + row,
                "measured_at": at.isoformat(timespec="milliseconds"),
                "note": f"phone {self.number}, batch {self.made}, row {row}",
            })
        kept = self.send("/weights/batch", {"items": rows})
        for row, told in zip(rows, kept["items"] if kept else []):
            if told["status"] in ("stored", "already_there"):
                self.acknowledged[row["note"]] = row["id"]
            else:
                self.odd.append(f"a row of a batch was {told}")


class BirthPhone(Phone):
    """Births, litter after litter; a birth makes a dog and its first weight as well."""

    def __init__(self, owner, number):
        super().__init__(owner, number)
        self.dam, self.sire = owner.dog("female"), owner.dog("male")
        self.litters = []

    def write(self):
        if self.made % 8 == 1:
            kept = self.send("/litters", {"dam_id": self.dam, "sire_id": self.sire, "name": f"{self.number}/{self.made}"})
            if kept is None:
                return
            self.litters.append(kept["id"])
        mark = f"phone {self.number}, pup {self.made}"
        born_at = (datetime.now(timezone.utc) - timedelta(minutes=30)).isoformat(timespec="seconds")
        body = {
            # Two of one sex and weight within minutes would be taken for one that was written down twice.
            "born_at": born_at, "sex": "female", "collar": mark[-40:], "weight_g": 400 + 7 * (self.made % 8), "outcome": "alive",
            "presentation": "head_first", "placenta": "passed",
        }
        kept = self.send(f"/litters/{self.litters[-1]}/births", body)
        if kept:
            self.acknowledged[mark] = kept["id"]

    def present(self):
        client = self.owner.client()
        rows = []
        for litter in self.litters:
            births = good(client.get(f"{self.owner.kennel}/litters/{litter}/births?limit=500"))["items"]
            rows += [(row["collar"], row["id"]) for row in births]
        return rows


def reckoning(phones):
    """Of what was acknowledged: how much is found, doubled and lost, once all phones are at rest."""
    sums = {"acknowledged": 0, "found": 0, "doubled": 0, "lost": 0, "sent again": 0}
    for phone in phones:
        present = phone.present()
        ids = {}
        for mark, row_id in present:
            ids.setdefault(mark, []).append(row_id)
        sums["acknowledged"] += len(phone.acknowledged)
        sums["sent again"] += phone.sent_again
        for mark, row_id in phone.acknowledged.items():
            found = ids.get(mark, [])
            sums["found"] += row_id in found
            sums["lost"] += row_id not in found
        sums["doubled"] += sum(len(found) - 1 for found in ids.values())
    return sums
