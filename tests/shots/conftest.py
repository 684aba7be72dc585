"""Situations of the shots room: a campaign with one whole shot, and its people."""

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext

from portal.access import Role
from shots.models import HeroFood
from tests.factories import CampaignFactory, HeroFoodFactory, PropFactory, ShotFactory, member_of


@pytest.fixture
def campaign(db):
    return CampaignFactory()


@pytest.fixture
def shot(campaign):
    return ShotFactory(campaign=campaign, number=1)


@pytest.fixture
def food(shot):
    return HeroFoodFactory(shot=shot)


@pytest.fixture
def prop(shot):
    return PropFactory(shot=shot)


@pytest.fixture
def producer(campaign):
    return member_of(campaign, Role.PRODUCER)


@pytest.fixture
def stylist(campaign):
    return member_of(campaign, Role.STYLIST)


@pytest.fixture
def signing_client(campaign):
    return member_of(campaign, Role.CLIENT, may_sign=True)


@pytest.fixture
def many(campaign):
    """A function that adds shots to the campaign until it has `count`, each with two foods and two props."""

    def fill(count):
        for number in range(campaign.shots.count() + 1, count + 1):
            shot = ShotFactory(campaign=campaign, number=number)
            HeroFoodFactory.create_batch(2, shot=shot, as_sold=HeroFood.AsSold.ASKED)
            PropFactory.create_batch(2, shot=shot)

    return fill


@pytest.fixture
def same_queries(many):
    """A function that checks that `ask` costs as many queries with 60 shots as with 2 and 3, and no more than 20.

    `before` is done once the shots are there, such as sealing them.
    """

    def check(ask, before=lambda: None):
        counts = {}
        for shots in (2, 3, 60):
            many(shots)
            with transaction.atomic():
                before()
                with CaptureQueriesContext(connection) as asked:
                    assert ask().status_code == 200
                transaction.set_rollback(True)
            counts[shots] = len(asked)
        assert len(set(counts.values())) == 1, counts
        assert counts[60] <= 20, [query["sql"] for query in asked]

    return check
