"""Protects an archive of a campaign: all of it comes along and reads the same, offline and back; no secret leaves."""

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
from django.db import transaction
from django.test import Client
from django.urls import reverse

from fixtures.demo import build
from fixtures.demo.scenario import SCENARIO
from portal.brief import documents
from portal.brief.models import Campaign, Version
from portal.people import actions as people_actions
from portal.people.addresses import Person
from portal.people.models import Invitation, Member, User
from portal.sealing import archive_in, archive_out, carried, verify
from portal.sealing.models import LogEntry
from tests.drawn import layouts
from tests.portal.archives import empty_the_portal, entry, joined, rebuilt, refused, rows, small_archive, store
from tests.portal.conftest import again
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
    cache, folder = layouts(tmp_path_factory.mktemp("layouts")), tmp_path_factory.mktemp("files")
    path = tmp_path_factory.mktemp("out") / "OAT-27.zip"
    with django_db_blocker.unblock(), transaction.atomic(), store(folder):
        campaign = build.in_preparation(cache)
        run_work()
        campaign = build.again(campaign)
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
    assert (back.report["files"], back.report["log_entries"]) == (28, demo.told["log_entries"])


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
        assert all(dish["brief"]["title"] in text for dish in SCENARIO["shots"])
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


def test_work_that_names_files_of_others_is_refused(demo, tmp_path):
    """Whoever forges an archive cannot have the portal show what else lies in its store."""
    path = tmp_path / "forged.zip"
    shutil.copy(demo.path, path)
    foreign = "derived/preview/aa/bb/composed.jpg"
    bad = rebuilt(path, rows("rows/portal.work.jsonl", lambda row: row | {"result": {"seen": {"path": foreign}}}))
    assert refused(bad).endswith(f"names a file that the archive does not have: {foreign}.")


@pytest.fixture
def small(people, tmp_path):
    return small_archive(people, tmp_path)


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
    joined(people)
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
