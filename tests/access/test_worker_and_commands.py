"""Protects that neither the worker nor a command is a way round the table of roles.

A kind of work, a task or a command without a row in agreed.py fails.
"""

import inspect
import zipfile

import pytest
from django.apps import apps
from django.core.management import call_command, get_commands

from portal.brief.actions import start_campaign
from portal.models import LogEntry, Work
from portal.site import celery_app
from portal.work import handlers
from portal.work.tasks import look
from shots.shot import actions as shots
from tests.access.agreed import COMMANDS, READ, TASKS, WORK
from tests.factories import UserFactory
from tests.work import run_work


@pytest.fixture(scope="module", autouse=True)
def every_task():
    celery_app.loader.import_default_modules()


def test_every_kind_of_work_has_its_row_and_is_shown_at_addresses_that_have_theirs():
    assert set(handlers._handlers) == set(WORK)
    assert {name for names in WORK.values() for name in names} <= set(READ)


def test_every_message_has_its_row_and_carries_no_more_than_it_says():
    ours = {name: task for name, task in celery_app.tasks.items() if not name.startswith("celery.")}
    assert {name: list(inspect.signature(task.run).parameters) for name, task in ours.items()} == TASKS


def test_every_command_has_its_row():
    rooms = {config.name for config in apps.get_app_configs() if config.name in ("portal", "shots", "layouts")}
    assert {name for name, app in get_commands().items() if app in rooms} == COMMANDS


@pytest.mark.django_db
def test_a_message_does_nothing_but_what_is_owed_already(settings):
    done = Work.objects.create(
        key="a" * 64, kind="layouts.copies", inputs={}, state=Work.State.DONE, result={"copies": []}
    )
    before = Work.objects.values().get(pk=done.pk)
    look(done.pk)
    look(done.pk + 1000)
    assert Work.objects.values().get() == before
    assert run_work() == []


@pytest.mark.django_db
def test_commands_that_read_a_campaign_leave_it_as_it_was_and_write_where_they_are_told_alone(tmp_path):
    terms = {"title": "Soups", "code": "SOUP-1", "client": "A kitchen", "languages": ["en-GB"]}
    agency = start_campaign(UserFactory(starts_campaigns=True), **terms)
    shots.add_shot(agency, title="Soup")
    campaign = agency.campaign
    before = list(LogEntry.objects.values())
    for command, where in (("verify_campaign", {}), ("export_campaign", {"out": tmp_path / "whole.zip"})):
        with pytest.raises(SystemExit, match="0"):
            call_command(command, campaign.code, **where)
    assert list(LogEntry.objects.values()) == before
    assert [path.name for path in tmp_path.iterdir()] == ["whole.zip"]
    assert zipfile.is_zipfile(tmp_path / "whole.zip")
    assert (tmp_path / "whole.zip").stat().st_mode & 0o077 == 0, "others on the machine could read the campaign"
