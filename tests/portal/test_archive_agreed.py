"""Protects an archive of what was agreed: signatures, changes, waivers, plans and overlays come back as they were."""

import zipfile
from hashlib import sha256
from types import SimpleNamespace

import pytest
from django.db import transaction
from django.test import Client
from django.urls import reverse

from fixtures.demo import build
from layouts.models import CapturePlan, SetOverlay
from portal.brief.models import Campaign, Version
from portal.models import Change, Delegation, SignOff, Waiver
from portal.people.models import User
from portal.sealing import archive_in, archive_out, verify
from tests.drawn import layouts
from tests.portal.archives import empty_the_portal, store
from tests.work import run_work

pytestmark = pytest.mark.django_db
KEPT = {
    Version: ("key", "number", "digest", "document"),
    SignOff: ("version__number", "member__key", "digest", "typed_name", "at"),
    Change: ("key", "number", "what", "why", "money"),
    Waiver: ("key", "says", "reason"),
    Delegation: ("key", "first_day", "last_day"),
    CapturePlan: ("shot__key", "digest", "accepted", "accepted_at"),
    SetOverlay: ("key", "shot__key", "capture", "version__number", "asked_at"),
}


def rows(kind):
    found = list(kind.objects.order_by("pk").values_list(*KEPT[kind]))
    assert found, f"the demo has no {kind.__name__}"
    return found


def pack(overlay):
    """One capture's pictures as the photographer takes them."""
    client = Client()
    client.force_login(User.objects.get(email="photographer@oatlock.example"))
    shot = overlay.shot
    address = reverse("layouts:set-overlay", args=[shot.campaign.key, shot.key, overlay.key, "zip"])
    answer = client.get(address)
    assert answer.status_code == 200
    return b"".join(answer)


def packs():
    return {overlay.key: sha256(pack(overlay)).hexdigest() for overlay in SetOverlay.objects.select_related("shot")}


@pytest.fixture(scope="module")
def agreed(django_db_setup, django_db_blocker, tmp_path_factory):
    """The demo's locked campaign as an archive, and what it held; nothing of it is committed."""
    path = tmp_path_factory.mktemp("out") / "agreed.zip"
    with django_db_blocker.unblock(), transaction.atomic(), store(tmp_path_factory.mktemp("files")):
        campaign = build.locked(layouts(tmp_path_factory.mktemp("layouts")))
        archive_out.write(campaign, path)
        was = SimpleNamespace(rows={kind: rows(kind) for kind in KEPT}, packs=packs(), head=campaign.log_head)
        yield SimpleNamespace(path=path, was=was, code=campaign.code)
        transaction.set_rollback(True)


@pytest.fixture
def back(agreed, tmp_path):
    """The same campaign on a portal that was empty, with a store of its own."""
    with transaction.atomic(), store(tmp_path / "elsewhere"):
        empty_the_portal()
        archive_in.read(agreed.path)
        yield Campaign.objects.get(code=agreed.code)
        transaction.set_rollback(True)


@pytest.mark.parametrize("kind", KEPT, ids=lambda kind: kind.__name__)
def test_rows_come_back_as_they_were(agreed, back, kind):
    assert rows(kind) == agreed.was.rows[kind]


def test_log_versions_signatures_and_files_prove_whole(agreed, back):
    assert back.log_head == agreed.was.head
    assert verify.prove(back).breaks == []


def test_set_overlays_are_the_same_to_the_byte_and_are_not_drawn_again(agreed, back):
    assert run_work() == []
    assert packs() == agreed.was.packs


def test_the_packs_in_the_archive_open(agreed, back, tmp_path):
    for overlay in SetOverlay.objects.select_related("shot"):
        (tmp_path / "pack.zip").write_bytes(pack(overlay))
        with zipfile.ZipFile(tmp_path / "pack.zip") as opened:
            assert opened.testzip() is None
            assert opened.namelist()[0].endswith("-index.txt")
