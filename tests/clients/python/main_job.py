"""Carries a litter from the mating to go-home, with a client generated from the document."""

import importlib
import io
import pkgutil
import sys
import time
from datetime import datetime, timedelta, timezone

import denwright_client
from denwright_client import AuthenticatedClient, Client, models
from denwright_client.api.archive import import_file
from denwright_client.api.dogs import change_dog, create_dog, read_dog
from denwright_client.api.go_home import print_booklet, read_litter_readiness
from denwright_client.api.growth import draw_litter_growth, read_litter_growth
from denwright_client.api.heats import create_heat
from denwright_client.api.kennels import create_kennel
from denwright_client.api.litters import create_birth, create_litter
from denwright_client.api.machine_room import ready
from denwright_client.api.matings import create_mating
from denwright_client.api.pedigree import export_pedigree
from denwright_client.api.people import log_in, sign_up
from denwright_client.api.weights import create_weight
from denwright_client.api.whelping import create_whelping_line, print_whelping_sheet
from denwright_client.types import File

COLLARS = ["green", "red", "blue"]
NOW = datetime.now(timezone.utc)


def days_ago(days):
    return NOW - timedelta(days=days)


def import_all():
    """Every module of the client; a name that leads nowhere would show here."""
    names = [module.name for module in pkgutil.walk_packages(denwright_client.__path__, "denwright_client.")]
    for name in names:
        importlib.import_module(name)
    return len(names)


def must(answer, status=200):
    """What a request gave, when it went as it should."""
    said = answer.content.decode(errors="replace")[:500]
    assert answer.status_code == status, f"{answer.status_code} instead of {status}: {said}"
    return answer.parsed


def until_ready(client):
    for _ in range(300):
        try:
            if ready.sync_detailed(client=client).status_code == 200:
                return
        except OSError:
            pass
        except Exception as error:  # what the client's own transport raises while nobody listens
            if "Connect" not in type(error).__name__:
                raise
        time.sleep(0.1)
    sys.exit("the service does not answer")


def log_in_anew(url):
    client = Client(base_url=url, timeout=60)
    until_ready(client)
    email, password = "maren@example.org", "a long pass phrase"
    must(sign_up.sync_detailed(client=client, body=models.SignUp(email, "Maren Holt", password)), 201)
    session = must(log_in.sync_detailed(client=client, body=models.Credentials(email, password)))
    return AuthenticatedClient(base_url=url, token=session.access_token, timeout=60)


def main(url):
    modules = import_all()
    client = log_in_anew(url)

    def add(operation, *ids, body):
        return must(operation.sync_detailed(*ids, client=client, body=body), 201)

    def read(operation, *ids):
        return must(operation.sync_detailed(*ids, client=client))

    kennel = add(create_kennel, body=models.Kennel("Larkfell", "Europe/Berlin")).id

    # A pedigree from a file: tried first, then done.
    file = b"id,name,sex,born_on,sire,dam\nA1,Juno,F,2022-03-04,B7,B9\nB7,Rex,M,2018,,\n"
    for dry_run in (True, False):
        taken = must(import_file.sync_detailed(
            kennel, models.ImportFileKind.DOGS, client=client, body=File(io.BytesIO(file)), dry_run=dry_run))
        assert taken.created == 3, taken
    written = read(export_pedigree, kennel).payload.read().decode()
    assert "Juno" in written and written.count("\n") == 4, written

    # Dogs. A repeat with the same key is the same dog.
    juno = models.Dog(name="Freya", sex=models.Sex.FEMALE, born_on="2022-03-04", adult_weight_g=28_000)
    juno.residence = models.Residence.HERE
    dam, again = (
        must(create_dog.sync_detailed(kennel, client=client, body=juno, idempotency_key="freya-1"), 201)
        for _ in range(2))
    assert dam.id == again.id
    sire = add(create_dog, kennel, body=models.Dog(
        name="Castor", sex=models.Sex.MALE, born_on="2020", residence=models.Residence.ELSEWHERE))

    # A change from the version that was seen, and one from a version that is gone.
    seen = read_dog.sync_detailed(kennel, dam.id, client=client).headers["ETag"]
    patch = models.DogPatch(call_name="Frey", colour=None)
    changed = must(change_dog.sync_detailed(kennel, dam.id, client=client, body=patch, if_match=seen))
    assert (changed.call_name, changed.name, changed.version) == ("Frey", "Freya", dam.version + 1)
    stale = change_dog.sync_detailed(kennel, dam.id, client=client, body=patch, if_match=seen)
    assert must(stale, 412).type_ == "urn:denwright:problem:stale"

    # Heat, mating, litter.
    heat = add(create_heat, kennel, body=models.Heat(days_ago(130).date(), dam.id))
    mating = add(create_mating, kennel, body=models.Mating(
        dam.id, sire.id, models.MatingStatus.DONE, heat_id=heat.id, method=models.MatingMethod.NATURAL,
        ties=[models.Tie(days_ago(119)), models.Tie(days_ago(117))]))
    litter = add(create_litter, kennel, body=models.Litter(mating_id=mating.id, name="F litter")).id

    # The night, eight weeks ago; and the daily weights.
    add(create_whelping_line, kennel, litter, body=models.WhelpingLine(
        happened_at=days_ago(56.1),
        event=models.WhelpingEventTemperature(models.WhelpingEventTemperatureKind.TEMPERATURE, 36.8)))
    births = [
        add(create_birth, kennel, litter, body=models.Birth(
            days_ago(56 - index / 24), models.BirthOutcome.ALIVE, collar=collar, weight_g=400 + 10 * index,
            sex=models.Sex.FEMALE, presentation=models.Presentation.HEAD_FIRST,
            placenta=models.Placenta.PASSED))
        for index, collar in enumerate(COLLARS)]
    assert [birth.ordinal for birth in births] == [1, 2, 3]
    for birth in births:
        for days in (1, 2, 4, 7, 11, 14, 21, 28, 35, 42, 49, 55):
            add(create_weight, kennel, birth.dog_id, body=models.Weight(
                measured_at=days_ago(56 - days), weight_g=round(420 + 42 * days + 1.2 * days**2)))

    # How they grow, whether they may go, and what is printed.
    growth = read(read_litter_growth, kennel, litter)
    assert [pup.last.weight_g for pup in growth.pups] == [6360] * 3, growth.pups
    assert read(draw_litter_growth, kennel, litter).startswith("<svg")
    readiness = read(read_litter_readiness, kennel, litter)
    assert len(readiness.pups) == 3 and readiness.checks
    for print_it, of in ((print_whelping_sheet, litter), (print_booklet, births[0].dog_id)):
        pages = read(print_it, kennel, of).payload.read()
        assert pages.startswith(b"%PDF-") and len(pages) > 5_000, pages[:20]

    # Faults come with their places.
    wrong = create_dog.sync_detailed(kennel, client=client, body=models.Dog(name="x", born_on="2026-02-30"))
    assert [fault.pointer for fault in must(wrong, 422).errors] == ["/born_on"]
    print(f"main job done: {modules} modules, {len(births)} pups")


if __name__ == "__main__":
    main(sys.argv[1])
