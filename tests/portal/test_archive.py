"""Protects a campaign's archive: the demo comes back with its digests, and one that is damaged is refused whole."""

import contextlib
import json
import shutil
import zipfile
from html.parser import HTMLParser
from types import SimpleNamespace

import jsonschema
import pytest
from django.apps import apps
from django.core.management import call_command
from django.db import connection, transaction
from django.test import Client, override_settings
from django.urls import reverse

from fixtures.demo import build
from portal.brief import documents
from portal.brief.models import Campaign, Version
from portal.people.models import Invitation, Member, User
from portal.record import archive
from portal.sealing import actions, archive_in, archive_out, carried, guard, verify
from portal.sealing.models import LogEntry
from tests.work import run_work

pytestmark = pytest.mark.django_db
PAGES = (
    "portal:brief",
    "portal:log",
    "shots:shots",
    "shots:lists",
    "layouts:formats",
    "layouts:layouts",
    "portal:people",
)


def store(folder):
    files = {"BACKEND": "django.core.files.storage.FileSystemStorage", "OPTIONS": {"location": folder}}
    static = {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}
    return override_settings(STORAGES={"default": files, "staticfiles": static})


def empty_the_portal():
    """As a portal that was just set up; the test's transaction brings all back."""
    guard.remove(connection)
    with connection.cursor() as cursor, connection.constraint_checks_disabled():
        for table in connection.introspection.table_names():
            if table.startswith(("portal_", "shots_", "layouts_", "account_emailaddress")):
                cursor.execute(f"DELETE FROM {table}")  # noqa: S608
    guard.install(connection)


def page(name, campaign, user):
    """A page's words, without what is new on each answer."""
    client = Client()
    client.force_login(user)
    answer = client.get(reverse(name, args=[campaign.key]))
    assert answer.status_code == 200
    return "\n".join(line for line in answer.text.splitlines() if "csrf" not in line.lower() and "nonce" not in line)


def state(campaign):
    """What must come back as it was."""
    versions = Version.objects.filter(campaign=campaign).order_by("number")
    entries = LogEntry.objects.filter(campaign=campaign).order_by("sequence")
    return {
        "log": list(entries.values_list("sequence", "at", "digest", "before")),
        "head": (campaign.log_length, campaign.log_head),
        "versions": list(versions.values_list("key", "digest", "document", "put_forward_at")),
        "draft": documents.draft_of(campaign).digest,
        "members": list(
            campaign.members.order_by("pk").values_list("key", "role", "may_sign", "joined_at", "user__email")
        ),
        "pages": {name: page(name, campaign, campaign.members.get(role="agency").user) for name in PAGES},
        "checked": {**vars(verify.prove(campaign)), "breaks": []},
    }


@pytest.fixture(scope="module")
def demo(django_db_setup, django_db_blocker, tmp_path_factory):
    """The demo, a version of it forced out and locked, written as an archive; nothing of it is committed."""
    cache, folder = tmp_path_factory.mktemp("layouts"), tmp_path_factory.mktemp("files")
    path = tmp_path_factory.mktemp("out") / "OAT-27.zip"
    with django_db_blocker.unblock(), transaction.atomic(), store(folder):
        agency = build.build(cache)
        run_work()
        campaign = Campaign.objects.get(pk=agency.campaign_id)
        told = archive_out.write(campaign, path)
        yield SimpleNamespace(path=path, told=told, was=state(campaign), folder=folder, code=campaign.code)
        transaction.set_rollback(True)


@pytest.fixture
def back(demo, tmp_path):
    """The demo on a portal that was empty, with a store of its own."""
    with transaction.atomic(), store(tmp_path / "elsewhere"):
        empty_the_portal()
        report = archive_in.read(demo.path)
        yield SimpleNamespace(report=report, campaign=Campaign.objects.get(code=demo.code))
        transaction.set_rollback(True)


def test_the_demo_comes_back_with_every_digest_and_reads_the_same(demo, back):
    now = state(back.campaign)
    for name in demo.was:
        assert now[name] == demo.was[name], name
    assert verify.prove(back.campaign).breaks == []
    assert back.report["draft_as_it_was"]
    assert (back.report["files"], back.report["log_entries"]) == (26, demo.told["log_entries"])


def test_accounts_come_without_passwords_and_rights_of_the_portal(back):
    from allauth.account.models import EmailAddress

    users = list(User.objects.all())
    assert len(users) == 8
    assert not any(user.has_usable_password() or user.starts_campaigns for user in users)
    assert set(EmailAddress.objects.filter(verified=True, primary=True).values_list("email", flat=True)) == {
        user.email for user in users
    }
    assert back.report["new_accounts"] == sorted(user.email for user in users)


def test_pictures_are_there_without_being_made_again(back):
    from portal.models import Work

    assert set(Work.objects.values_list("state", flat=True)) == {"done"}
    assert run_work() == []
    client = Client()
    client.force_login(User.objects.get(email="client@oatlock.example"))
    shot = documents.draft_of(back.campaign).document["pictures"]["mockups"][0]
    answer = client.get(reverse("layouts:mockup-image", args=[back.campaign.key, shot["picture"], 1200]))
    assert answer.status_code == 200
    assert b"".join(answer)[:3] == b"\xff\xd8\xff"


def test_it_is_not_brought_back_twice(demo, back):
    with pytest.raises(archive_in.AlreadyThere, match="has the campaign OAT-27 already"):
        archive_in.read(demo.path)


def test_what_goes_on_after_goes_on_in_the_same_chain(back):
    from portal.brief import actions as brief

    by = back.campaign.members.get(role="producer")
    brief.settle_terms(by, media="Screens")
    back.campaign.refresh_from_db()
    assert verify.prove(back.campaign).breaks == []


# ---- what lies in it


def entry(path, name):
    with zipfile.ZipFile(path) as opened:
        return opened.read(name)


def test_no_secret_leaves(demo):
    with zipfile.ZipFile(demo.path) as opened:
        for name in opened.namelist():
            if name.startswith("rows/"):
                assert not {"password", "token", "last_login"} & {
                    key for line in opened.read(name).splitlines() for key in json.loads(line)
                }, name


def test_everything_in_it_is_as_its_schemas_say(demo):
    with zipfile.ZipFile(demo.path) as opened:
        schemas = {
            name.removeprefix("schema/").removesuffix(".schema.json"): json.loads(opened.read(name))
            for name in opened.namelist()
            if name.startswith("schema/")
        }
        for schema in schemas.values():
            jsonschema.Draft202012Validator.check_schema(schema)

        def check(schema, text):
            jsonschema.validate(json.loads(text), schemas[schema])

        check("manifest", opened.read("manifest.json"))
        for line in opened.read("log.jsonl").splitlines():
            check("log-entry", line)
        for name in opened.namelist():
            if name.startswith("rows/"):
                for line in opened.read(name).splitlines():
                    check(name.removeprefix("rows/").removesuffix(".jsonl"), line)


def test_the_schema_of_documents_knows_every_field_of_the_demo(demo, back):
    from portal.sealing import archive_schema

    document, schema = documents.draft_of(back.campaign).document, archive_schema.document()
    jsonschema.validate(document, schema)
    undeclared = set()

    def walk(value, told, where):
        if isinstance(value, dict) and "properties" in told:
            undeclared.update(f"{where}.{key}" for key in value.keys() - told["properties"].keys())
            for key in value.keys() & told["properties"].keys():
                walk(value[key], told["properties"][key], f"{where}.{key}")
        elif isinstance(value, list) and "items" in told:
            for one in value:
                walk(one, told["items"], where)

    walk(document, schema, "")
    # Told with another field, of which they are a part.
    covered = {".file", ".revision", ".width", ".height", ".type", ".picture", ".window_corrected"}
    assert {name for name in undeclared if not any(name.endswith(end) for end in covered)} == set()


class Links(HTMLParser):
    def __init__(self):
        super().__init__()
        self.found, self.alts = set(), []

    def handle_starttag(self, tag, attrs):
        held = dict(attrs)
        self.found |= {held[name] for name in ("href", "src") if name in held}
        self.alts += [held.get("alt")] if tag == "img" else []


def test_its_page_opens_offline_and_leads_only_to_what_lies_beside_it(demo):
    with zipfile.ZipFile(demo.path) as opened:
        names = set(opened.namelist())
        links = Links()
        text = opened.read("index.html").decode()
        links.feed(text)
        assert links.found <= names
        assert len(links.alts) == 26
        assert all(links.alts)
        assert "<script" not in text
        assert "http" not in text
        assert all(dish["brief"]["title"] in text for dish in build.SCENARIO["shots"])
        story = opened.read("story.html").decode()
    assert story.count("<li>") == demo.told["log_entries"]


def test_the_same_campaign_makes_the_same_entries(demo, back, tmp_path):
    """What was brought back is written again: but for primary keys and the hour, it is the same archive."""
    again = tmp_path / "again.zip"
    archive_out.write(back.campaign, again)
    first, second = (json.loads(entry(path, "manifest.json"))["entries"] for path in (demo.path, again))
    differ = {name for name in first.keys() | second.keys() if first.get(name) != second.get(name)}
    assert {name for name in differ if not name.startswith("rows/")} == set()


def test_every_table_is_carried_or_named_as_kept_back():
    """A table that a room adds comes along by itself; one that cannot be carried must be thought about."""
    known = {carried.name_of(table) for table in carried.tables()} | carried.NOT_CARRIED
    rooms = ("portal", "shots", "layouts")
    all_tables = {model._meta.label_lower for room in rooms for model in apps.get_app_config(room).get_models()}
    assert all_tables - known == set()
    assert [
        model for room in rooms for model in apps.get_app_config(room).get_models() if model._meta.many_to_many
    ] == []


# ---- damage

WELL_PACKED = "The archive is well packed, and what it holds is not whole."


def refused(path):
    """Why an archive is refused; nothing of it is left."""
    with transaction.atomic(), store(path.parent / "elsewhere"):
        empty_the_portal()
        with pytest.raises(archive.Damaged) as reason:
            archive_in.read(path)
        assert (Campaign.objects.count(), User.objects.count(), LogEntry.objects.count()) == (0, 0, 0)
        transaction.set_rollback(True)
    return str(reason.value)


@pytest.fixture
def small(people, tmp_path):
    """A small campaign with a locked version, as an archive that each test damages in its own way."""
    from portal.brief import actions as brief
    from portal.sealing import log
    from tests.portal.conftest import again

    for member in people.all():
        log.append(
            again(member), "member.joined", f"member/{member.key}", role=str(member.role), may_sign=member.may_sign
        )
    out = brief.put_forward(again(people.producer))
    for signer in (people.client, people.photographer):
        actions.sign(again(signer), digest=out.digest, typed_name="X")
    path = tmp_path / "small.zip"
    archive_out.write(Campaign.objects.get(pk=people.campaign.pk), path)
    return path


def as_it_is(_, data):
    return data


def rebuilt(path, change=as_it_is, *, add=(), manifest=None, seal=True):
    """The archive with entries changed (None: left out), a manifest made to fit or changed, and sealed anew."""
    with zipfile.ZipFile(path) as opened:
        held = {info.filename: opened.read(info) for info in opened.infolist()}
    told = json.loads(held.pop("manifest.json"))
    other = path.with_name("other.zip")
    with zipfile.ZipFile(other, "w", zipfile.ZIP_DEFLATED) as out:
        for name, data in held.items():
            if (changed := change(name, data)) is not None:
                out.writestr(name, changed)
                if changed != data:
                    from hashlib import sha256

                    told["entries"][name] = {"sha256": sha256(changed).hexdigest(), "bytes": len(changed)}
        if manifest:
            manifest(told)
        out.writestr("manifest.json", json.dumps(told))
        for name, data in add:
            out.writestr(name, data)
    if seal:
        archive.seal(other)
    return other


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
    data = small.read_bytes()
    bad = small.with_name("flipped.zip")
    for at in range(0, len(data), max(1, len(data) // 300)):
        flipped = bytearray(data)
        flipped[at] ^= 1 << (at % 8)
        bad.write_bytes(flipped)
        with pytest.raises(archive.Damaged):
            archive.Reader(bad)


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


def rows(entry, change):
    """A change of the rows of one entry."""

    def changed(name, data):
        if name != entry:
            return data
        return b"".join(json.dumps(change(json.loads(line))).encode() + b"\n" for line in data.splitlines())

    return changed


def without(key):
    return lambda row: {name: value for name, value in row.items() if name != key}


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
            "The entry rows/portal.member.jsonl, line 1, has a role that cannot be: 'emperor'.",
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
            "The entry rows/portal.campaign.jsonl names a row that the archive does not have (locked_version).",
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


def test_work_that_names_files_of_others_is_refused(demo, tmp_path):
    """Whoever forges an archive cannot have the portal show what else lies in its store."""
    path = tmp_path / "forged.zip"
    shutil.copy(demo.path, path)
    foreign = "derived/preview/aa/bb/composed.jpg"
    bad = rebuilt(path, rows("rows/portal.work.jsonl", lambda row: row | {"result": {"seen": {"path": foreign}}}))
    assert refused(bad).endswith(f"names a file that the archive does not have: {foreign}.")


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


# ---- the commands


def run(capsys, *words):
    with pytest.raises(SystemExit) as left:
        call_command(*words)
    said = capsys.readouterr()
    return left.value.code, (said.out or said.err).strip()


def test_the_commands_say_what_they_did(small, people, tmp_path, capsys):
    out = tmp_path / "new.zip"
    status, said = run(capsys, "export_campaign", people.campaign.code, "--out", str(out))
    assert status == 0
    assert "one version, eleven entries of the log, no files" in said
    assert run(capsys, "export_campaign", people.campaign.code, "--out", str(out)) == (
        2, f"{out} is there already. Name another file.",
    )  # fmt: skip
    assert run(capsys, "export_campaign", "NO-1", "--out", str(tmp_path / "no.zip")) == (
        2, "There is no campaign with the code NO-1.",
    )  # fmt: skip
    status, said = run(capsys, "import_campaign", str(out))
    assert (status, "already, and an archive replaces nothing" in said) == (2, True)
    empty_the_portal()
    status, said = run(capsys, "import_campaign", str(out))
    assert status == 0
    assert "is back, and it is whole: one version, eleven entries of the log, no files and seven members." in said
    assert "Seven accounts came without a password" in said
    assert run(capsys, "import_campaign", str(tmp_path / "nothing.zip"))[0] == 2


def test_nothing_is_left_of_an_archive_that_could_not_be_written(people, tmp_path, capsys, monkeypatch):
    def moved(*_):
        raise archive_out.Moved

    monkeypatch.setattr(archive_out.archive_page, "pages", moved)
    status, said = run(capsys, "export_campaign", people.campaign.code, "--out", str(tmp_path / "x.zip"))
    assert (status, said.startswith("People are at work")) == (2, True)
    assert list(tmp_path.glob("x.zip*")) == []


def test_an_account_that_is_there_is_kept_as_it_is(small, people, tmp_path):
    email, key = people.client.user.email, people.client.key
    with transaction.atomic(), store(tmp_path / "elsewhere"):
        empty_the_portal()
        mine = User.objects.create_user(email, name="My own name", password="kept")
        archive_in.read(small)
        member = Member.objects.select_related("user").get(key=key)
        assert (member.user_id, member.user.name, member.user.check_password("kept")) == (mine.pk, "My own name", True)
        transaction.set_rollback(True)


def test_invitations_come_with_links_of_their_own(people, tmp_path):
    from portal.people import actions as people_actions
    from portal.people.addresses import Person
    from portal.sealing import log
    from tests.portal.conftest import again

    for member in people.all():
        log.append(
            again(member), "member.joined", f"member/{member.key}", role=str(member.role), may_sign=member.may_sign
        )
    (sent,) = people_actions.invite(again(people.producer), people=[Person("New", "new@example.com")], role="designer")
    path = tmp_path / "x.zip"
    archive_out.write(Campaign.objects.get(pk=people.campaign.pk), path)
    with transaction.atomic(), contextlib.ExitStack() as stack:
        stack.enter_context(store(tmp_path / "elsewhere"))
        empty_the_portal()
        archive_in.read(path)
        came = Invitation.objects.get(key=sent.key)
        assert came.token != sent.token
        assert came.sent_at == sent.sent_at
        transaction.set_rollback(True)
