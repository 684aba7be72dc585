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
from portal.people.account_proof import account_digest
from portal.record.canonical import canonical, section_digests, version_digest
from portal.sealing import actions, guard, log, story
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
    for member in people.all():
        told = {"role": str(member.role), "may_sign": member.may_sign, "account": account_digest(again(member))}
        log.append(again(member), "member.joined", f"member/{member.key}", **told)
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
        "title": locked.campaign.title,
        "whole": True,
        "checked": {
            "entries": 11,
            "versions": 1,
            "sign_offs": 2,
            "changes": 0,
            "members": 7,
            "rows": 11,
            "files": 1,
            "bytes": len(BYTES),
        },
        "first_break": None,
        "breaks": [],
        "remarks": [],
    }
    status, out = verify(locked, capsys)
    assert status == 0
    assert "eleven entries of the log, one version, two sign-offs, no changes, seven members, eleven rows" in out
    assert "eleven rows, one file of 19 bytes." in out
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
    forge("DELETE FROM portal_logentry WHERE sequence = 11")
    assert first_break(locked, capsys) == ("log", "the log has 10 entries and should have 11")


def test_an_entry_written_anew_with_a_digest_of_its_own_is_found(locked, capsys):
    """Whoever recomputes one entry's digest must recompute all that follow, and the head."""
    from portal.record.chain import FIELDS, ROWS, entry_digest

    entry = LogEntry.objects.get(sequence=2)
    entry.actor_name = "Somebody else"
    fields = {name: getattr(entry, name) for name in (*FIELDS, ROWS)}
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
    known = f"the log knows that {locked.client}, {locked.client.key}, signed version 1"
    assert (where, says) == ("sign-offs", f"{known}, and the sign-off is gone or was changed")


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


def test_a_log_in_another_order_is_found(locked, capsys):
    """Two entries change places: each is as it was written, but for its number."""
    for was, now in ((2, 900), (3, 2), (900, 3)):
        forge("UPDATE portal_logentry SET sequence = %s WHERE sequence = %s", now, was)
    assert first_break(locked, capsys) == ("log", "entry 2 does not follow the one before it")


def test_an_end_cut_off_with_the_campaigns_own_count_is_found_by_what_it_told(locked, capsys):
    """The log's length and head are made to fit; the rows that the lost entries tell of are still there."""
    locked.campaign.refresh_from_db()
    guard.remove(connection)
    LogEntry.objects.filter(sequence__gt=2).delete()
    head = LogEntry.objects.get(sequence=2).digest
    forge("UPDATE portal_campaign SET log_length = 2, log_head = %s WHERE id = %s", head, locked.campaign.pk)
    status, out = verify(locked, capsys, "--json")
    found = {one["where"]: one["says"] for one in json.loads(out)["breaks"]}
    assert status == 1
    assert found["lock"] == "version 1 is held as locked, and the log knows no such lock"
    assert found[f"sign-off of {locked.photographer.user} on version 1"] == "the log does not know it"


@pytest.mark.parametrize(
    ("column", "value", "says"),
    [
        ("note", "Another word", "its note to the signers is not the one that the log has"),
        ("number", 3, "the log knows it as version 1"),
        ("put_forward_at", "2020-01-01 00:00:00+00:00", "its time is not the one that the log has"),
    ],
)
def test_what_a_version_says_of_itself_is_proven_too(locked, capsys, column, value, says):
    forge(f"UPDATE portal_version SET {column} = %s", value)  # noqa: S608
    assert first_break(locked, capsys) == (f"version {3 if column == 'number' else 1}", says)


def test_a_version_given_to_another_hand_is_found(locked, capsys):
    forge("UPDATE portal_version SET put_forward_by_id = %s", locked.client.pk)
    assert first_break(locked, capsys) == ("version 1", "it was put forward by somebody else, as the log has it")


def test_a_version_that_was_deleted_is_found(locked, capsys):
    guard.remove(connection)
    SignOff.objects.all().delete()
    locked.campaign.__class__.objects.update(locked_version=None)
    forge("DELETE FROM portal_version")
    _, out = verify(locked, capsys, "--json")
    assert {"where": "version 1", "says": "the log knows it, and it is gone"} in json.loads(out)["breaks"]


@pytest.mark.parametrize(
    ("column", "value", "says"),
    [
        ("typed_name", "Y", "the name typed is not the one that the log has"),
        ("answer", "declined", "the log does not know it"),
        ("at", "2020-01-01 00:00:00+00:00", "its time is not the one that the log has"),
    ],
)
def test_what_a_sign_off_says_is_proven(locked, capsys, column, value, says):
    forge(f"UPDATE portal_signoff SET {column} = %s WHERE member_id = %s", value, locked.client.pk)  # noqa: S608
    assert first_break(locked, capsys) == (f"sign-off of {locked.client.user} on version 1", says)


def test_a_sign_off_moved_to_another_member_or_version_is_found(locked, capsys):
    forge("UPDATE portal_signoff SET member_id = %s WHERE member_id = %s", locked.agency.pk, locked.client.pk)
    assert first_break(locked, capsys) == (
        f"sign-off of {locked.agency.user} on version 1", "the log does not know it",
    )  # fmt: skip


def test_a_section_digest_that_was_changed_is_found(locked, capsys):
    sections = Version.objects.get().sections | {"campaign": "0" * 64}
    forge("UPDATE portal_version SET sections = %s", json.dumps(sections))
    says = "the section campaign is not the one whose digest was kept"
    assert first_break(locked, capsys) == ("version 1", says)


@pytest.mark.parametrize(
    ("column", "value", "says"),
    [
        ("may_sign", True, "they may sign, and the log has it otherwise"),
        ("role", "client", "they are client, and the log has them as designer"),
        ("left_at", "2020-01-01 00:00:00+00:00", "they have left, and the log knows nothing of it"),
        ("key", "aaaaaaaaaaaa", "the log does not know how they came in"),
    ],
)
def test_rights_that_nobody_gave_are_found(locked, capsys, column, value, says):
    forge(f"UPDATE portal_member SET {column} = %s WHERE id = %s", value, locked.designer.pk)  # noqa: S608
    assert first_break(locked, capsys) == (f"member {locked.designer.user}", says)


def test_a_member_tied_to_another_account_is_found(locked, capsys):
    stranger = MemberFactory(role=Role.CLIENT).user
    forge("UPDATE portal_member SET user_id = %s WHERE id = %s", stranger.pk, locked.client.pk)
    says = "their account is not the one that joined, as the log has it"
    assert first_break(locked, capsys) == (f"member {stranger}", says)


def test_a_signer_who_took_another_name_is_worth_a_look(locked, capsys):
    given = str(locked.client)
    locked.client.user.name = "Benjamin Lee"
    locked.client.user.save()
    status, out = verify(locked, capsys, "--json")
    says = f"it was given by {given}, and the account is now Benjamin Lee (Client): people change names"
    assert (status, json.loads(out)["remarks"]) == (
        0,
        [{"where": "sign-off of Benjamin Lee on version 1", "says": says}],
    )


def test_a_lock_moved_and_a_version_held_as_out_are_found(locked, capsys):
    version = Version.objects.get()
    forge("UPDATE portal_campaign SET open_version_id = %s WHERE id = %s", version.pk, locked.campaign.pk)
    says = "a version is held as out for signature, and the log has it otherwise"
    assert first_break(locked, capsys) == ("signature", says)


# ---- an exported log


@pytest.fixture
def carried(locked, tmp_path):
    """The log as the agency takes it away."""
    path = tmp_path / "log.jsonl"
    path.write_text("".join(story.lines(again(locked.agency))), encoding="utf-8")
    return path


def verify_file(path, capsys, *words):
    with pytest.raises(SystemExit) as left:
        call_command("verify_campaign", *words, "--log", str(path), "--json")
    said = capsys.readouterr()
    return left.value.code, json.loads(said.out)["breaks"] if said.out else said.err.strip()


def test_an_exported_log_is_proven_by_itself_and_against_the_campaign(locked, carried, capsys):
    assert verify_file(carried, capsys) == (0, [])
    assert verify_file(carried, capsys, locked.campaign.code) == (0, [])
    log.append(again(locked.agency), "thing.noted")  # it has gone on since
    assert verify_file(carried, capsys, locked.campaign.code) == (0, [])


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (lambda lines: lines[:3] + lines[4:], "entry 3 is missing: the next one has number 4"),
        (lambda lines: lines[:-1], "the log has 10 entries and should have 11"),
        (lambda lines: [line.replace('"act": "version.locked"', '"act": "x.y"') for line in lines],
         "entry 4 was altered after it was written"),
        (lambda lines: [*lines[:2], "{}\n", *lines[3:]], "entry 2 does not follow the one before it"),
        (lambda lines: [*lines[:2], "no JSON\n", *lines[3:]], "entry 2 does not follow the one before it"),
    ],
)  # fmt: skip
def test_an_exported_log_that_was_altered_is_found(carried, capsys, change, says):
    lines = carried.read_text(encoding="utf-8").splitlines(keepends=True)
    carried.write_text("".join(change(lines)), encoding="utf-8")
    assert verify_file(carried, capsys) == (1, [{"where": "exported log", "says": says}])


def test_a_log_written_anew_does_not_hold_what_was_exported(locked, carried, capsys):
    guard.remove(connection)
    LogEntry.objects.filter(sequence=11).delete()
    says = "its entry 11 is not the one that was exported: the log was written anew"
    assert verify_file(carried, capsys, locked.campaign.code) == (1, [{"where": "log", "says": says}])


def test_a_part_of_a_log_proves_nothing_and_says_so(locked, tmp_path, capsys):
    path = tmp_path / "part.jsonl"
    path.write_text("".join(story.lines(again(locked.client))), encoding="utf-8")
    status, says = verify_file(path, capsys)
    assert status == 2
    assert says.endswith("entries were kept back, so it proves nothing.")


@pytest.mark.parametrize("text", ["", "no JSON", '{"kind": "something else"}'])
def test_what_is_no_log_is_refused(db, tmp_path, capsys, text):
    path = tmp_path / "x.jsonl"
    path.write_text(text)
    status, says = verify_file(path, capsys)
    assert (status, says) == (2, f"{path}: The first line does not say that this is the log of a campaign.")


def test_the_report_names_the_first_break_first(locked, capsys):
    forge("UPDATE portal_logentry SET act = 'x.y' WHERE sequence = 1")
    forge("UPDATE portal_version SET digest = %s", "0" * 64)
    status, out = verify(locked, capsys)
    assert status == 1
    lines = out.splitlines()
    assert lines[2] == "It is not whole. First break, log: Entry 1 was altered after it was written."
    assert lines[3].startswith("Also version 1: ")
