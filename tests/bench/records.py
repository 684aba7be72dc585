"""What the record costs: `python -m tests.bench.records`, and on PostgreSQL `python -m tests.bench.records --portal`.

The first prints, for a campaign of 60 shots in 12 formats on SQLite: drawing up and digesting its document (target
1 s), putting it forward (2 s), the diff of two such versions, in data and in words (1 s), its archive, and what
proving a log of 10,000 and of 100,000 entries takes in time and in memory (constant). The second prints what the
campaign's page and the page of its log take with one campaign in the portal, and with 10,000 campaigns that have
1,000,000 entries (the same queries, within 1.5 times). Medians; on a busy machine trust processor time and ratio.
"""

import os
import resource
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

TIMES = 5
CAMPAIGNS, ENTRIES = 10_000, 1_000_000


def taken(act: Callable[[], Any], times: int = TIMES) -> tuple[float, float]:
    """Median seconds on the clock and of processor time."""
    clock, processor = [], []
    for _ in range(times):
        begun, worked = time.perf_counter(), time.process_time()
        act()
        clock.append(time.perf_counter() - begun)
        processor.append(time.process_time() - worked)
    return statistics.median(clock), statistics.median(processor)


def line(what: str, act: Callable[[], Any], target: float | None = None, times: int = TIMES) -> None:
    clock, processor = taken(act, times)
    verdict = "" if target is None else f"   target {target:.0f} s{'   OVER' if processor > target else ''}"
    print(f"{what:58}{clock:8.3f}{processor:8.3f}{verdict}", flush=True)


def one_campaign() -> None:
    from django.db import transaction
    from django.utils import timezone

    from portal.access import Role
    from portal.brief import actions as brief
    from portal.brief import comparing, documents, sections
    from portal.models import Campaign, Member, Work
    from portal.record.canonical import section_digests, version_digest
    from portal.record.diff import diff
    from portal.sealing import archive_out
    from shots.models import HeroFood, Light, Shot
    from tests.bench import rows
    from tests.factories import answer_roles

    big = rows.make(60)
    for work in Work.objects.filter(kind="layouts.prepare").iterator():
        work.result = work.result | {"faults": [], "must_fix": 0}
        work.save(update_fields=["result"])
    producer = Member.objects.select_related("campaign", "user").get(pk=big.members[Role.PRODUCER].pk)
    campaign = Campaign.objects.get(pk=big.campaign.pk)
    now = timezone.now()
    HeroFood.objects.filter(shot__campaign=campaign).update(
        as_sold="confirmed", confirmed_by=producer, confirmed_at=now
    )
    # What the drawn layouts measure is nobody's fault here.
    Campaign.objects.filter(pk=campaign.pk).update(least_contrast=1, hero_overlap=100)
    campaign.refresh_from_db()
    answer_roles(campaign)
    document = sections.assemble(campaign)
    print(f"\n60 shots x 12 formats: {len(document['layouts'])} layouts")
    print(f"{'':58}{'s':>8}{'cpu s':>8}")
    line("draw up the document", lambda: sections.assemble(campaign), 1)
    line("digest it", lambda: version_digest(section_digests(document)), 1)
    line("both", lambda: documents.draft_of(campaign), 1)

    def put_forward() -> None:
        with transaction.atomic():
            brief.put_forward(producer)
            transaction.set_rollback(True)

    line("put it forward", put_forward, 2)
    Light.objects.filter(shot__campaign=campaign).update(mood="Evening")
    Shot.objects.filter(campaign=campaign, number=60).update(number=1000)
    Shot.objects.filter(campaign=campaign, number=1).update(number=60)
    Shot.objects.filter(campaign=campaign, number=1000).update(number=1)
    other = documents.draft_of(campaign).document
    print(f"{len(diff(document, other))} differences")
    line("diff, as data", lambda: diff(document, other), 1)
    line("diff, in words, with pictures, for its reader", lambda: comparing.compare(producer, document, other), 1)
    with tempfile.TemporaryDirectory() as folder:
        numbers = iter(range(100))
        _real_files()
        line("write its archive", lambda: archive_out.write(campaign, Path(folder) / f"{next(numbers)}.zip"), times=1)


def _real_files() -> None:
    """Bytes for each file that the benchmark's rows name: small ones, for here the rows are what costs."""
    from django.core.files.base import ContentFile
    from django.core.files.storage import default_storage

    from portal.files.models import StoredFile

    for stored in StoredFile.objects.iterator():
        if not default_storage.exists(stored.path):
            default_storage.save(stored.path, ContentFile(b"x" * 20_000))


def long_logs() -> None:
    from portal.sealing import verify

    print(f"\n{'proving a log':58}{'s':>8}{'cpu s':>8}   memory of the process before, most while it ran, MB")
    for entries in (10_000, 100_000):
        campaign = _with_log(entries)
        before = _most_memory()
        begun, worked = time.perf_counter(), time.process_time()
        proof = verify.prove(campaign)
        clock, processor = time.perf_counter() - begun, time.process_time() - worked
        assert (proof.entries, proof.breaks) == (entries, [])
        print(
            f"{entries:>10} entries{'':40}{clock:8.1f}{processor:8.1f}   {before:8.0f}{_most_memory():8.0f}", flush=True
        )


def _most_memory() -> float:
    """The most that this process has ever held, in MB: what does not move has not grown."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e3


def _with_log(entries: int) -> Any:
    from django.utils import timezone

    from portal.models import Campaign, LogEntry, RowDigest
    from portal.record import chain
    from portal.record.rows import rows_digest
    from portal.sealing.carried import name_of
    from portal.sealing.told_rows import called, digest_of
    from shots.models import Prop, Shot

    campaign = Campaign.objects.create(title="Long", code=f"L-{entries}", client="Invented")
    shot = Shot.objects.create(campaign=campaign, number=1, title="Bowl")
    props = [Prop.objects.create(shot=shot, name="Slate vase") for _ in range(500)]
    # The first entry vouches for campaign, shot and props, each that follows for the prop that it edited.
    vouched = [(name_of(type(row)), called(row), digest_of(row, campaign.row_salt)) for row in (campaign, shot, *props)]
    before, waiting, digests, now = chain.START, [], [], timezone.now()
    for number in range(1, entries + 1):
        written = vouched if number == 1 else [vouched[2 + number % 500]]
        fields: dict[str, Any] = {
            "campaign": campaign.key, "sequence": number, "at": now, "actor": "", "actor_name": "the portal",
            "act": "prop.edited", "subject": f"prop/{number % 500}", "audience": "everyone", "before": before,
            "payload": {"name": "Slate vase", "was": {"quantity": number}, "now": {"quantity": number + 1}},
        }  # fmt: skip
        fields[chain.ROWS] = rows_digest(written)
        before = chain.entry_digest(fields | {"at": now.isoformat()})
        waiting.append(LogEntry(**fields | {"campaign": campaign, "digest": before}))
        digests += [
            RowDigest(campaign=campaign, sequence=number, kind=kind, called=row, digest=digest)
            for kind, row, digest in written
        ]
        if len(waiting) == 2000 or number == entries:
            LogEntry.objects.bulk_create(waiting)
            RowDigest.objects.bulk_create(digests)
            waiting, digests = [], []
    Campaign.objects.filter(pk=campaign.pk).update(log_length=entries, log_head=before)
    campaign.refresh_from_db()
    return campaign


def whole_portal() -> None:
    """The campaign's page and its log's, first alone in the portal, then among many."""
    from django.db import connection, transaction
    from django.test import Client
    from django.test.utils import CaptureQueriesContext
    from django.urls import reverse

    from portal.access import Role
    from portal.models import Campaign, LogEntry, Member
    from portal.sealing import log
    from tests.bench import rows

    big = rows.make(3)
    agency = Member.objects.select_related("campaign", "user").get(pk=big.members[Role.AGENCY].pk)
    for number in range(100):
        with transaction.atomic():
            log.append(agency, "prop.edited", "", name="Vase", was={"quantity": number}, now={"quantity": number + 1})
    client = Client()
    client.force_login(agency.user)
    urls = {name: reverse(f"portal:{name}", args=[big.campaign.key]) for name in ("campaign", "log")}
    urls |= {"log, terms": urls["log"] + "?topic=terms", "home": reverse("portal:home")}

    def measure() -> dict[str, tuple[float, float, int]]:
        with connection.cursor() as cursor:
            cursor.execute("ANALYZE")
        found = {}
        for name, url in urls.items():
            for _ in range(10):
                client.get(url)
            clock, processor = taken(lambda url=url: client.get(url), 25)
            with CaptureQueriesContext(connection) as asked:
                assert client.get(url).status_code == 200
            found[name] = (clock, processor, len(asked))
        return found

    alone = measure()
    begun = time.perf_counter()
    _fill()
    made = time.perf_counter() - begun
    there = f"{Campaign.objects.count()} campaigns and {LogEntry.objects.count()} entries of their logs"
    print(f"\n{there}, made in {made:.0f} s")
    among = measure()
    heads = f"{'ms':>8}{'cpu ms':>8}{'queries':>9}"
    print(f"{'':16}{'alone':>25}{'among them':>25}\n{'page':16}{heads}{heads}{'ratio':>8}{'cpu':>8}")
    for name in urls:
        (one, first, few), (other, second, many) = alone[name], among[name]
        over = "   OVER" if other > 1.5 * one or many > few else ""
        costs = f"{1000 * one:8.1f}{1000 * first:8.1f}{few:9}{1000 * other:8.1f}{1000 * second:8.1f}{many:9}"
        print(f"{name:16}{costs}{other / one:8.2f}{second / first:8.2f}{over}")


def _fill() -> None:
    """Campaigns and entries straight in the database, in the shape that acts give them."""
    from django.db import connection

    from portal.brief.models import Campaign

    each = ENTRIES // CAMPAIGNS
    columns = [field.column for field in Campaign._meta.fields if not field.primary_key]
    values = ", ".join(_OTHERWISE.get(column, f"c.{column}") for column in columns)
    make = f"INSERT INTO portal_campaign ({', '.join(columns)}) SELECT {values} FROM portal_campaign c, "  # noqa: S608
    with connection.cursor() as cursor:
        cursor.execute(make + "generate_series(1, %s) n", [each, CAMPAIGNS])
        cursor.execute(_MAKE_ENTRIES, [each])


# As the one that is there, but for these.
_OTHERWISE = {
    "key": "substr(md5(n::text), 1, 12)",
    "title": "'Campaign ' || n",
    "code": "'Z-' || n",
    "standing": "'{}'",
    "standing_at": "NULL",
    "open_version_id": "NULL",
    "locked_version_id": "NULL",
    "log_length": "%s",
    "log_head": "repeat('0', 64)",
}
_MAKE_ENTRIES = """
INSERT INTO portal_logentry (campaign_id, sequence, at, actor, actor_name, act, subject, payload, audience, before,
  digest, rows)
SELECT c.id, n, now() - n * interval '1 hour', '', 'Somebody (Agency producer)',
  (array['prop.edited', 'shot.edited', 'comment.written', 'layout.sent', 'terms.settled'])[1 + n %% 5], 'shot/x',
  '{"was": {"quantity": 1}, "now": {"quantity": 2}}', 'everyone', md5(n::text) || md5('a'),
  md5(c.id::text || n) || md5('b'), md5('r' || n) || md5('c')
FROM portal_campaign c, generate_series(1, %s) n WHERE c.code LIKE 'Z-%%'
"""


def main() -> None:
    portal = "--portal" in sys.argv
    with tempfile.TemporaryDirectory() as folder:
        os.environ["BRIEFLOCK_DATA"] = folder
        os.environ.setdefault("DJANGO_SETTINGS_MODULE", "portal.site.settings")
        if portal:
            from tests.services import postgres

            with tempfile.TemporaryDirectory() as place, postgres(Path(place)) as url:
                os.environ["BRIEFLOCK_DATABASE_URL"] = url
                _run(whole_portal)
        else:
            _run(one_campaign, long_logs)


def _run(*parts: Callable[[], None]) -> None:
    import django

    django.setup()
    from tests.bench.campaign import _ready

    _ready()
    print(f"{os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}, Python {sys.version.split()[0]}")
    for part in parts:
        part()


if __name__ == "__main__":
    main()
