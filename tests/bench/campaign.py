"""What the main pages cost with 3 shots and with 60 in 12 formats: `python -m tests.bench.campaign`.

Prints milliseconds on the server, on the clock and of processor time (medians of five, after one to warm up), queries,
and bytes before and after gzip. On a machine that does something else besides, trust the processor time.
Targets: the campaign's page with its street within 400 ms and under 300 kB; no page above 20 queries, and the same
number for 3 shots and for 60.
"""

import gzip
import logging
import os
import statistics
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass

TIMES = 5
ROLE = "agency"
MOST_MS, MOST_BYTES, MOST_QUERIES = 400, 300_000, 20


@dataclass
class Cost:
    """What one page costs: milliseconds on the clock and of processor time, queries, and what it sends."""

    ms: float
    cpu: float
    queries: int
    body: bytes

    def __str__(self) -> str:
        sizes = f"{len(self.body) / 1000:8.1f}{len(gzip.compress(self.body, 6)) / 1000:8.1f}"
        return f"{self.ms:8.0f}{self.cpu:8.0f}{self.queries:8}{sizes}"


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        os.environ["BRIEFLOCK_DATA"] = folder
        os.environ.setdefault("DJANGO_SETTINGS_MODULE", "portal.site.settings")
        import django

        django.setup()
        _ready()
        from tests.bench import rows

        for languages in (1, 2):
            small, large = rows.make(3, languages=languages), rows.make(60, languages=languages)
            table(f"12 formats, {languages} language{'s' * (languages > 1)}, all there", small, large)
        small, large = rows.make(3, languages=2, come=False), rows.make(60, languages=2, come=False)
        table("12 formats, 2 languages, everything still owed", small, large)


def _ready() -> None:
    """An empty database and static names without a manifest; nothing is sent to a queue."""
    from django.conf import settings
    from django.core.management import call_command

    from portal.site import celery_app

    settings.STORAGES["staticfiles"] = {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}
    settings.ALLOWED_HOSTS = ["testserver"]
    settings.STATIC_ROOT.mkdir()
    celery_app.send_task = lambda *_, **__: None
    # Rows are made in bulk here and not by acts.
    logging.getLogger("brieflock.rows").disabled = True
    call_command("migrate", verbosity=0)


def table(title: str, small, large) -> None:
    load = os.getloadavg()[0]
    print(f"\n{title}, as {ROLE}; {os.cpu_count()} cores, load {load:.1f}, Python {sys.version.split()[0]}")
    print(f"{'':28}{'3 shots':>40}{'60 shots':>42}")
    print(f"{'page':28}" + f"{'ms':>8}{'cpu ms':>8}{'queries':>8}{'kB':>8}{'gzip kB':>8}  " * 2)
    costs: dict[str, Cost] = {}
    for name, (few, many) in measured(small, large):
        costs[name] = many
        print(f"{name:28}{few}  {many}  {_verdict(few, many)}")
    both = [costs["campaign"], costs["street (fragment)"]]
    ms, cpu = sum(cost.ms for cost in both), sum(cost.cpu for cost in both)
    size = sum(len(cost.body) for cost in both)
    over = ms > MOST_MS or size > MOST_BYTES
    print(
        f"campaign and its street: {ms:.0f} ms, {cpu:.0f} cpu ms, {size / 1000:.1f} kB"
        f"{'   OVER THE TARGET' if over else ''}"
    )


def measured(small, large) -> Iterator[tuple[str, tuple[Cost, Cost]]]:
    from tests.bench.pages import PAGES

    for name, (address, headers) in PAGES.items():
        yield name, (_cost(small, address(small), headers), _cost(large, address(large), headers))


def _cost(big, url: str, headers: dict[str, str]) -> Cost:
    from django.db import connection
    from django.test import Client
    from django.test.utils import CaptureQueriesContext

    client = Client(headers=headers)
    client.force_login(big.members[ROLE].user)
    client.get(url)
    clock, processor = [], []
    for _ in range(TIMES):
        begun, worked = time.perf_counter(), time.process_time()
        answer = client.get(url)
        clock.append(1000 * (time.perf_counter() - begun))
        processor.append(1000 * (time.process_time() - worked))
        assert answer.status_code == 200, (url, answer.status_code)
    with CaptureQueriesContext(connection) as asked:
        client.get(url)
    return Cost(statistics.median(clock), statistics.median(processor), len(asked), answer.content)


def _verdict(few: Cost, many: Cost) -> str:
    said = []
    if few.queries != many.queries:
        said.append("queries grow")
    if many.queries > MOST_QUERIES:
        said.append("too many queries")
    return ", ".join(said)


if __name__ == "__main__":
    main()
