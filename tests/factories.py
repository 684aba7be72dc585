"""Factories for rows, with no surprises inside."""

from datetime import date

import factory
from factory.django import DjangoModelFactory

from layouts.models import Format
from portal.access import Role
from portal.models import Campaign, Member, User
from shots.models import HeroFood, Prop, RoleAnswer, Shot
from shots.roles.models import CREW


class UserFactory(DjangoModelFactory):
    class Meta:
        model = User

    email = factory.Sequence(lambda n: f"person{n}@example.com")
    name = factory.Sequence(lambda n: f"Person {n}")


class CampaignFactory(DjangoModelFactory):
    class Meta:
        model = Campaign

    title = factory.Sequence(lambda n: f"Campaign {n}")
    code = factory.Sequence(lambda n: f"T-{n}")
    client = "Invented client"
    agency = "Invented agency"
    languages = ["en-GB"]
    media = "Outdoor posters"
    territory = "United Kingdom"
    period = "Six weeks"


class MemberFactory(DjangoModelFactory):
    class Meta:
        model = Member

    campaign = factory.SubFactory(CampaignFactory)
    user = factory.SubFactory(UserFactory)
    role = Role.PRODUCER
    may_sign = False


class ShotFactory(DjangoModelFactory):
    class Meta:
        model = Shot

    campaign = factory.SubFactory(CampaignFactory)
    number = factory.Sequence(lambda n: n + 1)
    title = factory.Sequence(lambda n: f"Shot {n}")


class FormatFactory(DjangoModelFactory):
    class Meta:
        model = Format

    campaign = factory.SubFactory(CampaignFactory)
    name = factory.Sequence(lambda n: f"Format {n}")
    kind = Format.Kind.POSTER
    width_mm, height_mm = 6096, 3048
    artwork_scale = 10
    width_px, height_px = 7200, 3600
    distance_m = 20.0


def member_of(row, role: Role = Role.PRODUCER, **fields) -> Member:
    """A new member, with this role, of the campaign that `row` is or belongs to."""
    campaign = row if isinstance(row, Campaign) else getattr(row, "campaign", None) or row.shot.campaign
    return MemberFactory(campaign=campaign, role=role, **fields)


class HeroFoodFactory(DjangoModelFactory):
    class Meta:
        model = HeroFood

    shot = factory.SubFactory(ShotFactory)
    name = factory.Sequence(lambda n: f"Food {n}")
    hero, stand_in, backup = 2, 1, 6
    supplier = "Invented kitchen"
    recipe, recipe_version = "Invented recipe", "1.0"
    allergens = ["gluten"]
    handling = "Invented caution: kept apart, gloves."


class PropFactory(DjangoModelFactory):
    class Meta:
        model = Prop

    shot = factory.SubFactory(ShotFactory)
    name = factory.Sequence(lambda n: f"Prop {n}")
    quantity = 2
    source = "Invented prop house"
    basis = Prop.Basis.BUY
    due = date(2027, 2, 20)


def answer_roles(campaign: Campaign) -> None:
    """Have every role of the crew answered, so that none stands between the brief and the lock."""
    for role in CREW:
        fields = {"answer": RoleAnswer.Answer.NOT_NEEDED, "agreed_by": "Person 0", "reason": "A small shoot."}
        RoleAnswer.objects.update_or_create(campaign=campaign, role=role, defaults=fields)
