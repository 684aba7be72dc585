"""Protects the catalogue of trade sizes: shapes agree, pixels follow from the numbers, sources are named."""

import pytest

from layouts.formats import catalogue
from layouts.formats.models import Format

ENTRIES = list(catalogue.entries().values())
POSTERS = [entry for entry in ENTRIES if entry["kind"] == "poster"]

# ISO 216:2007, table of the A series, trimmed sizes in mm.
ISO_216 = {"a0": (841, 1189), "a1": (594, 841), "a2": (420, 594), "a3": (297, 420), "a4": (210, 297)}


@pytest.mark.parametrize("entry", ENTRIES, ids=lambda entry: entry["id"])
def test_entry_has_one_shape_in_mm_and_in_pixels(entry):
    if entry["width_mm"] is None:
        return
    assert entry["width_px"] / entry["height_px"] == pytest.approx(entry["width_mm"] / entry["height_mm"], rel=0.01)


@pytest.mark.parametrize("entry", POSTERS, ids=lambda entry: entry["id"])
def test_pixels_of_a_poster_follow_from_mm_ppi_and_scale(entry):
    for side in ("width", "height"):
        follows = entry[f"{side}_mm"] / 25.4 * entry["ppi"] / entry["artwork_scale"]
        assert entry[f"{side}_px"] == round(follows)


@pytest.mark.parametrize("entry", ENTRIES, ids=lambda entry: entry["id"])
def test_entry_says_where_its_numbers_are_from(entry):
    assert entry["source"]


@pytest.mark.parametrize(("name", "size"), ISO_216.items())
def test_a_series_is_that_of_iso_216(name, size):
    entry = catalogue.entries()[name]
    assert (entry["width_mm"], entry["height_mm"]) == size


# Sheets are counted in double crown, 508 x 762 mm (20 x 30 in): common practice, no source.
@pytest.mark.parametrize("count", [4, 12, 16, 32, 48, 64, 96])
def test_a_poster_named_in_sheets_has_the_area_of_so_many_double_crowns(count):
    entry = catalogue.entries()[f"{count}-sheet"]
    assert entry["width_mm"] * entry["height_mm"] == count * 508 * 762


def test_names_and_aliases_name_one_entry_each():
    names = [entry["name"] for entry in ENTRIES]
    aliases = [alias for entry in ENTRIES for alias in entry["aliases"]]
    assert len(set(names)) == len(names)
    assert len(set(aliases)) == len(aliases)


@pytest.mark.django_db
@pytest.mark.parametrize("entry", ENTRIES, ids=lambda entry: entry["id"])
def test_entry_can_be_ordered(entry, producer):
    fields = catalogue.chosen([entry["id"]])[0]
    Format(campaign=producer.campaign, **fields).full_clean()
