"""Protects the acts on props: who may, what cannot be, what the log says."""

from datetime import date

import pytest
from django.core.exceptions import PermissionDenied, ValidationError

from portal.access import Role
from portal.models import LogEntry
from shots.props import actions
from shots.props.models import Prop
from tests.factories import PropFactory, member_of


@pytest.mark.parametrize("role", [Role.PRODUCER, Role.PHOTOGRAPHER, Role.STYLIST, Role.PROPS])
def test_add_prop_by_those_who_may(shot, role):
    prop = actions.add_prop(member_of(shot, role), shot.key, name="Jug", basis="hire", due=date(2027, 2, 18))
    assert (prop.shot, prop.quantity, LogEntry.objects.get().payload["now"]["due"]) == (shot, 1, "2027-02-18")


@pytest.mark.parametrize("role", [Role.CLIENT, Role.AGENCY, Role.LIGHTING, Role.ASSISTANT])
def test_edit_prop_by_others_leaves_no_trace(prop, role):
    with pytest.raises(PermissionDenied, match="may not change the props"):
        actions.edit_prop(member_of(prop, role), prop.key, quantity=9)
    prop.refresh_from_db()
    assert prop.quantity == 2
    assert not LogEntry.objects.exists()


@pytest.mark.parametrize(
    ("field", "values"),
    [
        ("quantity", {"quantity": 0}),
        ("quantity", {"quantity": 10_000}),
        ("basis", {"basis": "steal"}),
        ("returns_by", {"basis": "hire", "due": date(2027, 2, 18), "returns_by": date(2027, 2, 17)}),
    ],
)
def test_edit_prop_to_what_cannot_be_is_refused_beside_the_field(stylist, prop, field, values):
    with pytest.raises(ValidationError) as refused:
        actions.edit_prop(stylist, prop.key, **values)
    assert list(refused.value.message_dict) == [field]


def test_a_prop_that_is_not_hired_goes_back_nowhere(stylist, prop):
    actions.edit_prop(stylist, prop.key, basis="hire", returns_by=date(2027, 3, 1))
    actions.edit_prop(stylist, prop.key, basis="own")
    prop.refresh_from_db()
    assert prop.returns_by is None
    assert LogEntry.objects.last().payload["was"] == {"basis": "hire", "returns_by": "2027-03-01"}


def test_prop_of_another_campaign_is_not_there(stylist):
    other = PropFactory()
    with pytest.raises(Prop.DoesNotExist):
        actions.remove_prop(stylist, other.key)
    assert Prop.objects.exists()
