"""Protects import from archives that are well packed and well sealed but hold what no portal writes: each is refused
with a sentence, on both databases alike, and never ends in another error."""

import json
import zipfile
from hashlib import sha256
from itertools import islice

import pytest
from django.db import models, transaction

from portal.record import archive
from portal.record.chain import FIELDS
from portal.rows import Row, untold
from portal.sealing import archive_in, carried
from portal.sealing.archive_values import Unfit, fitting
from tests.portal.archives import empty_the_portal, rebuilt, refused, rows, small_archive, store

pytestmark = pytest.mark.django_db
# Of each the other database, a page or the canonical form would make something else, or nothing.
VALUES = {
    "nul": "a\0b", "long": "x" * 5000, "half": "\ud800", "huge": 2**70, "negative": -1, "nan": float("nan"),
    "infinite": float("inf"), "list": [], "deep": {"a": [{"b": [None]}]}, "flag": True, "none": None,
    "before": "0001-01-01T00:00:00+14:00", "no zone": "2026-01-01T00:00:00", "fraction": 1.5, "word": "word",
    "big": 2**40, "nul within": ["a\0b"], "address": "x@example.com",
}  # fmt: skip
EACH = 2  # of the values, for each column; all of them take a minute
COLUMNS = [
    (table, field)
    for table in carried.tables()
    for field in carried.fields(table)
    if not isinstance(field, models.ForeignKey)
]


@pytest.fixture
def small(people, tmp_path):
    return small_archive(people, tmp_path)


@pytest.mark.parametrize(("table", "field"), COLUMNS, ids=lambda one: getattr(one, "name", None) or one.__name__)
def test_what_fits_a_column_is_held_by_it_as_it_is(table, field):
    """Whatever is let through is what every database gives back: of the type, within length and range, writable."""
    for value in VALUES.values():
        try:
            found = fitting(field, value)
        except Unfit:
            continue
        assert found is None or isinstance(found, type(field.to_python(value)))
        if isinstance(found, str):
            assert len(found) <= (field.max_length or 10**6)
            assert "\0" not in found
            found.encode()
        if isinstance(field, models.IntegerField) and found is not None:
            assert abs(found) < 2 ** (63 if "Big" in type(field).__name__ else 31)
            assert found >= 0 or not type(field).__name__.startswith("Positive")
        if isinstance(field, models.JSONField):
            assert json.loads(json.dumps(found, allow_nan=False)) == found


def lines_of(path):
    """Each entry of rows that the archive has lines in, and the log."""
    with zipfile.ZipFile(path) as opened:
        return [name for name in opened.namelist() if name.endswith(".jsonl") and opened.read(name)]


def columns_in(path):
    """(entry, column), with whether another value that fits may come through: nothing vouches for it."""
    tables = {f"rows/{carried.name_of(table)}.jsonl": table for table in carried.tables()}
    for entry in lines_of(path):
        if entry == "log.jsonl":
            yield from ((entry, name, False) for name in (*FIELDS, "digest", "rows"))
            continue
        table = tables[entry]
        loose = set(untold(table)) if issubclass(table, Row) else {field.name for field in carried.fields(table)}
        yield entry, "id", True  # a name within the archive: any number will do
        yield from ((entry, field.attname, field.name in loose) for field in carried.fields(table))


def test_a_hostile_value_in_any_column_is_refused_with_a_sentence(small):
    """Every column of every table with rows, and of the log, each with some of the values, in turn."""
    tried = 0
    names = list(VALUES)
    for place, (entry, column, loose) in enumerate(columns_in(small)):
        first = place * EACH % len(names)
        for name in islice(names * 2, first, first + EACH):
            bad = rebuilt(small, rows(entry, lambda row, name=name, column=column: row | {column: VALUES[name]}))
            says = came(bad)
            assert says or loose or VALUES[name] is None, (entry, column, name)
            tried += 1
    assert tried > 70 * EACH


def came(path):
    """Why an archive is refused; empty where it comes back."""
    with transaction.atomic(), store(path.parent / "elsewhere"):
        empty_the_portal()
        try:
            archive_in.read(path)
            says = ""
        except archive.Damaged as wrong:
            says = str(wrong)
            assert says.endswith(".")
            assert "\n" not in says
        transaction.set_rollback(True)
    return says


@pytest.mark.parametrize(
    ("entry", "held", "says"),
    [
        ("rows/portal.campaign.jsonl", {"code": "x" * 13}, "line 1, has a code that cannot be: it has 13"),
        ("rows/portal.campaign.jsonl", {"title": "a\0"}, "has a title that cannot be: it has a character"),
        ("rows/portal.campaign.jsonl", {"rounds_included": 2**15}, "it is not between 0 and 32767"),
        ("rows/portal.campaign.jsonl", {"least_contrast": float("nan")}, "it is no number"),
        ("rows/portal.campaign.jsonl", {"languages": {}}, "it is no list"),
        ("rows/portal.member.jsonl", {"user_id": [1]}, "names a row that the archive does not have"),
        ("rows/portal.member.jsonl", {"joined_at": "2026-01-01T00:00:00"}, "its time zone is missing"),
        ("rows/portal.user.jsonl", {"email": "IDA@example.com"}, "an address in capital letters"),
        ("rows/portal.signoff.jsonl", {"typed_name": "\ud800"}, "it has half a character"),
        ("log.jsonl", {"payload": []}, "line 1, has a payload that cannot be: it is no object"),
        ("log.jsonl", {"sequence": 2**40}, "line 1, has a sequence that cannot be"),
        ("rows/portal.campaign.jsonl", {"code": "OTHER"}, "does not hold the one campaign"),
    ],
)
def test_the_sentence_names_entry_line_and_reason(small, entry, held, says):
    assert says in refused(rebuilt(small, rows(entry, lambda row: row | held)))


def test_a_second_campaign_does_not_slip_in(small):
    def two(name, data):
        if name != "rows/portal.campaign.jsonl":
            return data
        other = json.loads(data) | {"id": 99, "key": "slippedinkey", "code": "X-1"}
        other |= {"open_version_id": None, "locked_version_id": None}
        return data + json.dumps(other).encode() + b"\n"

    assert "does not hold the one campaign" in refused(rebuilt(small, two))


def test_an_original_that_is_another_file_is_refused(small):
    """Bytes under the digest of other bytes would be given out as them, to whoever sent those."""
    with zipfile.ZipFile(small) as opened:
        assert not [name for name in opened.namelist() if name.startswith("originals/")]
    sha = "ab" * 32
    told = {"id": 1, "sha256": sha, "bytes": 5, "type": "png", "width": 1, "height": 1}
    line = json.dumps(told | {"stored_at": "2026-01-01T00:00:00+00:00"}).encode() + b"\n"
    bad = rebuilt(small, lambda name, data: line if name == "rows/portal.storedfile.jsonl" else data)
    assert refused(bad) == f"The entry originals/{sha} is missing."

    def manifest(told):
        told["entries"][f"originals/{sha}"] = {"sha256": sha256(b"hello").hexdigest(), "bytes": 5}

    bad = rebuilt(
        small,
        lambda name, data: line if name == "rows/portal.storedfile.jsonl" else data,
        add=[(f"originals/{sha}", b"hello")],
        manifest=manifest,
    )
    assert refused(bad) == f"The entry originals/{sha} is not the file that its name says."


@pytest.mark.parametrize("entry", ["campaign", "member", "user", "version", "signoff", "log"])
def test_a_row_that_is_there_twice_is_said_of_its_entry(small, entry):
    name = f"rows/portal.{entry}.jsonl" if entry != "log" else "log.jsonl"
    says = refused(rebuilt(small, lambda held, data: data + data if held == name else data))
    assert says.startswith(f"The entry {name} has rows that do not fit each other: ")
    assert "\n" not in says


def with_files(path, names, **change):
    """The archive with five bytes under each of these names."""

    def manifest(told):
        told["entries"] |= {name: {"sha256": sha256(b"hello").hexdigest(), "bytes": 5} for name in names}

    return rebuilt(path, add=[(name, b"hello") for name in names], manifest=manifest, **change)


@pytest.mark.parametrize("name", ["derived/" + "x" * 193, "derived" + "/a" * 3000])
def test_a_name_that_no_disk_takes_is_refused(small, name):
    assert "has a name that no archive of a campaign has" in refused(with_files(small, [name]))


@pytest.mark.parametrize("names", [["derived/a", "derived/a/b"], ["derived/a/b/c", "derived/a"]])
def test_a_file_that_is_also_a_folder_is_refused(small, names):
    assert refused(with_files(small, names)).startswith("The entry derived/a is a file, and the folder of derived/a/b")


def test_a_made_file_to_which_no_work_leads_stays_out_of_the_store(small):
    elsewhere = small.parent / "elsewhere"
    assert came(with_files(small, ["derived/preview/ab/stray.png"])) == ""
    assert [path for path in elsewhere.rglob("*") if path.is_file()] == []


@pytest.mark.parametrize(
    "change",
    [
        {"tables": [[]]}, {"tables": {}}, {"log": []}, {"log": {"entries": "3", "head": 1}},
        {"campaign": {"key": "a\0", "code": "X"}}, {"campaign": {"key": "a", "code": "\ud800"}},
        {"campaign": {"key": "a" * 99, "code": "X"}}, {"campaign": {"key": "a", "code": []}},
    ],
)  # fmt: skip
def test_a_manifest_of_another_shape_is_refused(small, change):
    assert refused(rebuilt(small, manifest=lambda told: told.update(change)))
