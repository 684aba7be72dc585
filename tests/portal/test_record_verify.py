"""Protects `manage.py verify_campaign`: whoever alters the database or the store behind the portal's back is found."""

import json
from hashlib import sha256

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.core.management import call_command
from django.db import connection

from portal.access import Role
from portal.brief import actions as brief
from portal.brief import sections
from portal.brief.models import Version
from portal.brief.sections import Section
from portal.files.actions import keep
from portal.files.models import StoredFile
from portal.record.canonical import canonical, section_digests, version_digest
from portal.sealing import actions, guard
from portal.sealing.models import LogEntry, SignOff
from tests.factories import MemberFactory
from tests.portal.conftest import again

BYTES = b"the original layout"


@pytest.fixture
def locked(people, bare, monkeypatch):
    """A locked brief with a file in its document."""
    stored = keep(ContentFile(BYTES, "layout.png"), type="png", width=1, height=1)
    files = [{"id": "a", "file": {"name": "layout.png", "sha256": stored.sha256}}]
    section = Section("layouts", "Layouts", 20, lambda _: files, bare.template)
    monkeypatch.setitem(sections._sections, "layouts", section)
    out = brief.put_forward(again(people.producer))
    for signer in (people.client, people.photographer):
        actions.sign(again(signer), digest=out.digest, typed_name="X")
    return people


def verify(people, capsys, *words):
    with pytest.raises(SystemExit) as left:
        call_command("verify_campaign", people.campaign.code, *words)
    return left.value.code, capsys.readouterr().out


def first_break(people, capsys):
    status, out = verify(people, capsys, "--json")
    report = json.loads(out)
    assert status == 1
    assert report["whole"] is False
    return report["first_break"]["where"], report["first_break"]["says"]


def forge(sql, *values):
    """What somebody does who holds the database and has taken the seals away."""
    guard.remove(connection)
    with connection.cursor() as cursor:
        cursor.execute(sql, values)
        assert cursor.rowcount == 1


def test_a_whole_campaign_is_whole(locked, capsys):
    status, out = verify(locked, capsys, "--json")
    assert status == 0
    assert json.loads(out) == {
        "campaign": locked.campaign.code,
        "whole": True,
        "checked": {"entries": 4, "versions": 1, "sign_offs": 2, "files": 1, "bytes": len(BYTES)},
        "first_break": None,
        "breaks": [],
    }
    status, out = verify(locked, capsys)
    assert status == 0
    assert "four entries of the log, one version, two sign-offs, one file of 19 bytes." in out
    assert out.strip().endswith("It is whole.")


def test_an_unknown_campaign_is_said_in_a_sentence(db, capsys):
    with pytest.raises(SystemExit) as left:
        call_command("verify_campaign", "NO-1", "--json")
    said = capsys.readouterr()
    assert left.value.code == 2
    assert (said.out, said.err.strip()) == ("", "There is no campaign with the code NO-1.")


@pytest.mark.parametrize(
    ("column", "value"),
    [("act", "version.declined"), ("actor_name", "Somebody"), ("payload", '{"number": 9}'), ("audience", "working")],
)
def test_an_altered_entry_is_found(locked, capsys, column, value):
    forge(f"UPDATE portal_logentry SET {column} = %s WHERE sequence = 2", value)  # noqa: S608
    assert first_break(locked, capsys) == ("log", "entry 2 was altered after it was written")


def test_a_moved_time_is_found(locked, capsys):
    forge("UPDATE portal_logentry SET at = '2020-01-01 00:00:00+00:00' WHERE sequence = 3")
    assert first_break(locked, capsys) == ("log", "entry 3 was altered after it was written")


def test_a_missing_entry_is_found(locked, capsys):
    forge("DELETE FROM portal_logentry WHERE sequence = 2")
    assert first_break(locked, capsys) == ("log", "entry 2 is missing: the next one has number 3")


def test_a_cut_end_is_found(locked, capsys):
    forge("DELETE FROM portal_logentry WHERE sequence = 4")
    assert first_break(locked, capsys) == ("log", "the log has 3 entries and should have 4")


def test_an_entry_written_anew_with_a_digest_of_its_own_is_found(locked, capsys):
    """Whoever recomputes one entry's digest must recompute all that follow, and the head."""
    from portal.record.chain import FIELDS, entry_digest

    entry = LogEntry.objects.get(sequence=2)
    entry.actor_name = "Somebody else"
    fields = {name: getattr(entry, name) for name in FIELDS}
    digest = entry_digest(fields | {"campaign": locked.campaign.key, "at": entry.at.isoformat()})
    forge("UPDATE portal_logentry SET actor_name = %s, digest = %s WHERE sequence = 2", "Somebody else", digest)
    assert first_break(locked, capsys) == ("log", "entry 3 does not follow the one before it")


def test_an_altered_document_is_found(locked, capsys):
    version = Version.objects.get()
    document = version.document.replace("Outdoor posters", "Everything ever")
    assert document != version.document
    forge("UPDATE portal_version SET document = %s", document)
    says = "the section campaign is not the one whose digest was kept"
    assert first_break(locked, capsys) == ("version 1", says)


def test_a_document_with_digests_made_to_fit_is_found_by_the_log(locked, capsys):
    document = json.loads(Version.objects.get().document)
    document["campaign"]["usage"]["media"] = "Everything ever"
    digests = section_digests(document)
    forge(
        "UPDATE portal_version SET document = %s, sections = %s, digest = %s",
        canonical(document).decode(), json.dumps(digests), version_digest(digests),
    )  # fmt: skip
    assert first_break(locked, capsys) == ("version 1", "the log does not know it with this digest")


@pytest.mark.parametrize(
    ("document", "says"),
    [("{", "its document cannot be read"), ('{"b":1, "a":2}', "its document is not in canonical form")],
)
def test_a_document_that_is_none_is_found(locked, capsys, document, says):
    forge("UPDATE portal_version SET document = %s", document)
    assert first_break(locked, capsys) == ("version 1", says)


def test_signers_that_were_added_are_found(locked, capsys):
    forge("UPDATE portal_version SET signers = %s", json.dumps([locked.client.key]))
    assert first_break(locked, capsys) == ("version 1", "the signers kept with it are not those of its document")


def test_a_forged_and_a_removed_signature_are_found(locked, capsys):
    stranger = MemberFactory(campaign=locked.campaign, role=Role.PHOTOGRAPHER)
    version = Version.objects.get()
    SignOff.objects.create(
        version=version,
        member=stranger,
        answer="signed",
        digest=version.digest,
        typed_name="X",
        at=version.put_forward_at,
    )
    where = f"sign-off of {stranger.user} on version 1"
    assert first_break(locked, capsys) == (where, "the log does not know it")
    forge("DELETE FROM portal_signoff WHERE member_id = %s", stranger.pk)
    forge("DELETE FROM portal_signoff WHERE member_id = %s", locked.client.pk)
    where, says = first_break(locked, capsys)
    assert says == f"the log knows that {locked.client.key} signed a version, and the sign-off is gone or was changed"


def test_a_signature_moved_to_another_digest_is_found(locked, capsys):
    forge("UPDATE portal_signoff SET digest = %s WHERE member_id = %s", "0" * 64, locked.client.pk)
    where = f"sign-off of {locked.client.user} on version 1"
    assert first_break(locked, capsys) == (where, "its digest is not the version's")


def test_a_lock_taken_away_is_found(locked, capsys):
    forge("UPDATE portal_campaign SET locked_version_id = NULL WHERE id = %s", locked.campaign.pk)
    assert first_break(locked, capsys) == ("lock", "the log knows a lock, and the campaign has none")


def test_files_that_were_changed_lost_or_cut_are_found(locked, capsys):
    digest = sha256(BYTES).hexdigest()
    where = f"file {digest[:8]} in version 1"
    path = StoredFile.objects.get().path

    def put(data):
        default_storage.delete(path)
        if data is not None:
            default_storage.save(path, ContentFile(data))

    put(b"another layout")
    assert first_break(locked, capsys) == (where, "its bytes are not those whose digest was kept")
    put(BYTES[:-1])
    assert first_break(locked, capsys) == (where, "its bytes are not those whose digest was kept")
    put(None)
    assert first_break(locked, capsys) == (where, "it is not in the store")
    put(BYTES)
    assert verify(locked, capsys, "--json")[0] == 0
    StoredFile.objects.all().delete()
    assert first_break(locked, capsys) == (where, "the portal has no file of that digest")


def test_the_report_names_the_first_break_first(locked, capsys):
    forge("UPDATE portal_logentry SET act = 'x.y' WHERE sequence = 1")
    forge("UPDATE portal_version SET digest = %s", "0" * 64)
    status, out = verify(locked, capsys)
    assert status == 1
    lines = out.splitlines()
    assert lines[2] == "It is not whole. First break, log: Entry 1 was altered after it was written."
    assert lines[3].startswith("Also version 1: ")
