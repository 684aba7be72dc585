"""Props as the tables of pages show them."""

from typing import Any

from portal.access import May
from portal.pages import CampaignRequest
from shots.props import actions, queries
from shots.props.forms import PropForm
from shots.props.models import Prop
from shots.props.section import as_data
from shots.rows import plainly
from shots.tables import Table, editable


def rights(request: CampaignRequest, shot: str) -> dict[str, Any]:
    """What a row of this shot (its key) offers to this member."""
    return {"editable": editable(request, May.EDIT_PROPS, "props", shot)}


def line_of_data(data: dict[str, Any], shot: dict[str, Any]) -> dict[str, Any]:
    """A row of the document with its shot."""
    return {"data": data, "shot": shot}


def line(prop: Prop) -> dict[str, Any]:
    """A stored row in the same form."""
    shot = prop.shot
    return line_of_data(as_data(prop), {"id": shot.key, "number": shot.number, "title": shot.title})


TABLE = Table(
    "props",
    "prop",
    May.EDIT_PROPS,
    PropForm,
    queries.props,
    line,
    line_of_data,
    rights,
    lambda row: plainly(row, actions.FIELDS),
    actions.add_prop,
    actions.edit_prop,
    actions.remove_prop,
)
