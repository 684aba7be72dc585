"""Protects from a damaged or forged archive: it is refused whole, with the entry named, and nothing of it is left."""

import zipfile

import pytest
from django.db import transaction

from portal.record import archive
from portal.sealing import archive_in
from tests.portal.archives import empty_the_portal, rebuilt, refused, rows, small_archive, store, without

pytestmark = pytest.mark.django_db
WELL_PACKED = "The archive is well packed, and what it holds is not whole."


@pytest.fixture
def small(people, tmp_path):
    return small_archive(people, tmp_path)


def each_flip_is_found(small, places):
    """`places`: offset of a byte in the file, and the bit of it that is flipped alone."""
    data = small.read_bytes()
    bad = small.with_name("flipped.zip")
    for at, bit in places:
        flipped = bytearray(data)
        flipped[at] ^= bit
        bad.write_bytes(flipped)
        with pytest.raises(archive.Damaged):
            archive.Reader(bad)


def test_a_small_archive_comes_back(small, tmp_path):
    with transaction.atomic(), store(tmp_path / "elsewhere"):
        empty_the_portal()
        assert archive_in.read(small)["versions"] == 1
        transaction.set_rollback(True)
    with transaction.atomic(), store(tmp_path / "elsewhere"):
        empty_the_portal()
        assert archive_in.read(rebuilt(small))["versions"] == 1  # the tool of these tests damages nothing by itself
        transaction.set_rollback(True)


def test_every_flipped_bit_is_found(small):
    """One bit in each of three hundred places, spread over the whole file: headers, entries, directory, seal."""
    size = small.stat().st_size
    each_flip_is_found(small, [(at, 1 << (at % 8)) for at in range(0, size, max(1, size // 300))])


def test_every_flipped_byte_of_the_directory_is_found(small):
    """One bit in each of its bytes, the end record and the seal too, and the bits that say a later kind of ZIP."""
    with zipfile.ZipFile(small) as opened:
        directory = opened.start_dir
    places = [(at, 1 << (at % 8)) for at in range(directory, small.stat().st_size)]
    # Of its first entry every bit of bytes 6 and 9: the version that unpacks it, the upper half of its flags.
    places += [(directory + byte, 1 << bit) for byte in (6, 9) for bit in range(8)]
    each_flip_is_found(small, places)


def test_the_entry_that_a_bit_was_flipped_in_is_named(small):
    data = bytearray(small.read_bytes())
    with zipfile.ZipFile(small) as opened:
        info = opened.getinfo("versions/1.json")
    data[info.header_offset + 30 + len("versions/1.json") + 20 + info.compress_size // 2] ^= 8
    small.write_bytes(data)
    assert refused(small).startswith("The entry versions/1.json ")


def test_a_flip_in_the_directory_alone_is_found(small):
    data = bytearray(small.read_bytes())
    with zipfile.ZipFile(small) as opened:
        at = opened.start_dir
    data[at + 12] ^= 1  # the hour of its first entry: no reader of ZIPs minds
    small.write_bytes(data)
    assert refused(small) == "The archive's own directory was altered: its entries are whole, its seal is not."


@pytest.mark.parametrize("left", [0, 10, 200, -1, -100])
def test_a_file_that_was_cut_is_refused(small, left):
    small.write_bytes(small.read_bytes()[:left])
    assert "its end is missing" in refused(small)


def test_what_is_appended_is_found(small):
    small.write_bytes(small.read_bytes() + b"more")
    with pytest.raises(archive.Damaged):
        archive.Reader(small)


def test_a_missing_entry_is_named(small):
    bad = rebuilt(small, lambda name, data: None if name == "versions/1.json" else data)
    assert refused(bad) == "The entry versions/1.json is missing."


def test_an_entry_too_many_is_named(small):
    bad = rebuilt(small, add=[("notes.txt", b"hello")])
    assert refused(bad) == "The entry notes.txt does not belong to this archive: its manifest does not name it."


def test_an_entry_that_is_there_twice_is_named(small):
    with pytest.warns(UserWarning, match="Duplicate name"):
        bad = rebuilt(small, add=[("log.jsonl", b"{}")])
    assert refused(bad) == "The entry log.jsonl is there twice."


@pytest.mark.parametrize(
    "name", ["../../outside.txt", "/etc/outside", "originals/../../outside", "C:\\outside", "a//b", "a/"]
)
def test_a_name_that_leads_elsewhere_is_refused(small, name):
    bad = rebuilt(small, add=[(name, b"x")])
    assert "has a name that no archive of a campaign has" in refused(bad)
    assert not (small.parents[2] / "outside.txt").exists()


def test_what_would_unfold_beyond_reason_is_refused_unopened(small):
    bomb = b"0" * (300 << 20)

    def manifest(told):
        told["entries"]["rows/bomb.jsonl"] = {"sha256": "0" * 64, "bytes": len(bomb)}

    bad = rebuilt(small, add=[("rows/bomb.jsonl", bomb)], manifest=manifest)
    assert bad.stat().st_size < 1 << 20
    said = refused(bad)
    assert said.startswith("The entry rows/bomb.jsonl would unfold from ")
    assert f"to {len(bomb)} bytes" in said


def test_a_size_that_lies_is_refused(small):
    def manifest(told):
        told["entries"]["log.jsonl"]["bytes"] += 1

    assert refused(rebuilt(small, manifest=manifest)).startswith("The entry log.jsonl has ")


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (
            rows("rows/portal.campaign.jsonl", without("title")),
            "The entry rows/portal.campaign.jsonl, line 1, lacks the field title.",
        ),
        (
            rows("rows/portal.member.jsonl", lambda row: row | {"is_king": True}),
            "The entry rows/portal.member.jsonl, line 1, has a field that no row here has: is_king.",
        ),
        (
            rows("rows/portal.user.jsonl", lambda row: row | {"password": "x"}),
            "The entry rows/portal.user.jsonl, line 1, has a field that no row here has: password.",
        ),
        (
            rows("rows/portal.member.jsonl", lambda row: row | {"role": "emperor"}),
            "The entry rows/portal.member.jsonl, line 1, has a role that cannot be: 'emperor' is none of its choices.",
        ),
        (
            rows("rows/portal.member.jsonl", lambda row: row | {"user_id": 999_999}),
            "The entry rows/portal.member.jsonl, line 1, names a row that the archive does not have (user).",
        ),
        (
            rows("rows/portal.version.jsonl", lambda row: row | {"put_forward_at": "yesterday"}),
            "The entry rows/portal.version.jsonl, line 1, has a put_forward_at that cannot be: ",
        ),
        (
            rows("rows/portal.campaign.jsonl", lambda row: row | {"locked_version_id": 999_999}),
            "The entry rows/portal.campaign.jsonl, line 1, names a row that the archive does not have (locked",
        ),
        (rows("rows/portal.member.jsonl", lambda row: [row]), "The entry rows/portal.member.jsonl, line 1, is no row."),
        (rows("log.jsonl", without("digest")), "The entry log.jsonl, line 1, is no entry of a log."),
        (
            lambda name, data: b"no JSON\n" if name == "log.jsonl" else data,
            "The entry log.jsonl is damaged: line 1 is no JSON.",
        ),
        (
            lambda name, data: data.replace(b"Outdoor", b"Any") if name == "versions/1.json" else data,
            f"{WELL_PACKED} Version 1: the section campaign is not the one",
        ),
        (
            rows("log.jsonl", lambda row: row | {"act": "x.y"}),
            f"{WELL_PACKED} Log: entry 1 was altered after it was written.",
        ),
    ],
)  # fmt: skip
def test_rows_that_cannot_be_are_refused_with_their_line(small, change, says):
    assert refused(rebuilt(small, change)).startswith(says)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"format": "something else"}, "is of an archive that this release of the portal cannot read"),
        ({"release": 99}, "is of an archive that this release of the portal cannot read"),
        ({"tables": ["portal.spaceship"]}, "The entry rows/portal.spaceship.jsonl is of another release"),
        ({"campaign": None}, "does not say what the archive is"),
        ({"entries": []}, "is not what it should be"),
    ],
)
def test_a_manifest_of_something_else_is_refused(small, change, says):
    assert says in refused(rebuilt(small, manifest=lambda told: told.update(change)))


def test_a_zip_of_something_else_is_refused(tmp_path, db):
    path = tmp_path / "x.zip"
    with zipfile.ZipFile(path, "w") as out:
        out.writestr("a.txt", "hello")
    assert refused(path).startswith("The archive has no seal")
    path.write_bytes(b"no archive at all")
    assert refused(path) == "This is no archive of a campaign, or its end is missing."
