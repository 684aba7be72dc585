"""Archives for tests: a small one, one made anew with something changed, and a portal that was just set up."""

import json
import zipfile
from hashlib import sha256

import pytest
from django.db import connection, transaction
from django.test import override_settings

from portal.brief import actions as brief
from portal.brief.models import Campaign
from portal.people.models import User
from portal.record import archive
from portal.sealing import actions, archive_in, archive_out, guard, log
from portal.sealing.models import LogEntry
from tests.portal.conftest import again


def store(folder):
    files = {"BACKEND": "portal.files.storage.WholeFiles", "OPTIONS": {"location": folder}}
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


def joined(people):
    """All of them, as the log knows those who took up an invitation."""
    for member in people.all():
        told = {"role": str(member.role), "may_sign": member.may_sign}
        log.append(again(member), "member.joined", f"member/{member.key}", **told)


def small_archive(people, folder):
    """A small campaign with a locked version, as an archive."""
    joined(people)
    out = brief.put_forward(again(people.producer))
    for signer in (people.client, people.photographer):
        actions.sign(again(signer), digest=out.digest, typed_name="X")
    path = folder / "small.zip"
    archive_out.write(Campaign.objects.get(pk=people.campaign.pk), path)
    return path


def entry(path, name):
    with zipfile.ZipFile(path) as opened:
        return opened.read(name)


def refused(path):
    """Why an archive is refused; nothing of it is left."""
    with transaction.atomic(), store(path.parent / "elsewhere"):
        empty_the_portal()
        with pytest.raises(archive.Damaged) as reason:
            archive_in.read(path)
        assert (Campaign.objects.count(), User.objects.count(), LogEntry.objects.count()) == (0, 0, 0)
        transaction.set_rollback(True)
    return str(reason.value)


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
                    told["entries"][name] = {"sha256": sha256(changed).hexdigest(), "bytes": len(changed)}
        if manifest:
            manifest(told)
        out.writestr("manifest.json", json.dumps(told))
        for name, data in add:
            out.writestr(name, data)
    if seal:
        archive.seal(other)
    return other


def rows(entry, change):
    """A change of the rows of one entry."""

    def changed(name, data):
        if name != entry:
            return data
        return b"".join(json.dumps(change(json.loads(line))).encode() + b"\n" for line in data.splitlines())

    return changed


def without(key):
    return lambda row: {name: value for name, value in row.items() if name != key}
