"""Protects the lists: drawn from the document that holds and nothing else, stamped, and for those who may have them."""

import csv as standard
import io
from datetime import date

import openpyxl
import pypdf
import pytest
from django.urls import reverse

from portal.access import Role
from portal.brief import documents
from portal.brief.documents import Brief
from portal.models import Campaign, Version
from portal.record.canonical import canonical, section_digests, version_digest
from shots.lists.lines import listed, missing
from shots.lists.sheets import file_name, sheet
from shots.models import HeroFood, Prop
from tests.factories import HeroFoodFactory, PropFactory, ShotFactory, member_of


def seal(campaign, by, field="locked_version"):
    """Put forward (or lock) the brief as it stands, past readiness."""
    document = documents.draft_of(campaign).document
    digests = section_digests(document)
    version = Version.objects.create(
        campaign=campaign, number=2, document=canonical(document).decode(), sections=digests,
        digest=version_digest(digests), put_forward_by=by, put_forward_at="2027-01-01T00:00Z",
    )  # fmt: skip
    Campaign.objects.filter(pk=campaign.pk).update(**{field: version})
    return version


def take(client, campaign, what, kind, **asked):
    return client.get(reverse("shots:list-file", args=[campaign.key, what, kind]), asked)


def rows_of(answer):
    return list(standard.reader(io.StringIO(answer.content.decode("utf-8-sig"), newline="")))


@pytest.fixture
def two_shots(campaign):
    first, second = (ShotFactory(campaign=campaign, number=number, title=f"Dish {number}") for number in (1, 2))
    PropFactory(shot=first, name="Plate, grey", quantity=2, source="Potter", due=None)
    PropFactory(shot=second, name="plate, GREY", quantity=1, source="potter", due=date(2027, 2, 19))
    PropFactory(shot=second, name="Jug", quantity=1, due=date(2027, 2, 18))
    HeroFoodFactory(shot=first, name="Stack", needs_by=date(2027, 2, 20))
    PropFactory(name="Another campaign's")
    return first, second


# ---- from the document


def test_rows_come_due_soonest_first_and_those_without_a_date_last(campaign, two_shots):
    found = listed(documents.draft_of(campaign), "props")
    assert [(row["name"], shot["number"]) for row, shot in found.rows] == [
        ("Jug", 2),
        ("plate, GREY", 2),
        ("Plate, grey", 1),
    ]
    assert [(total.name, total.counts["quantity"], list(total.by_shot)) for total in found.totals] == [
        ("Plate, grey", 3, ["1", "2"]),
        ("Jug", 1, ["2"]),
    ]


def test_rows_of_one_shot(campaign, two_shots):
    found = listed(documents.draft_of(campaign), "props", two_shots[0].key)
    assert [row["name"] for row, _ in found.rows] == ["Plate, grey"]


def test_rows_say_what_they_miss():
    prop = {"source": "", "due": None, "basis": "hire", "returns_by": None}
    assert missing("props", prop) == ["source", "due date", "return date"]
    assert missing("props", {"source": "Shelf", "due": None, "basis": "own", "returns_by": None}) == []
    food = {"hero": 0, "supplier": "", "recipe": "", "recipe_version": "", "needs_by": None, "allergens": None}
    assert missing("food", food) == ["hero", "supplier", "recipe", "recipe version", "date", "allergens"]
    assert missing("food", {"hero": 1, "supplier": "K", "recipe": "R", "recipe_version": "1", "needs_by": "2027-02-20",
                            "allergens": []}) == []  # fmt: skip


def test_a_sheet_of_one_shot_names_it_and_has_no_totals(campaign, two_shots):
    made = sheet(campaign, documents.draft_of(campaign), "props", two_shots[1].key)
    assert made.subtitle == "Shot 2, Dish 2"
    assert [part.title for part in made.parts] == ["To bring, due soonest first"]


def test_a_sheet_of_the_campaign_adds_up(campaign, two_shots):
    totals = sheet(campaign, documents.draft_of(campaign), "props").parts[1]
    assert totals.rows[0] == ("Plate, grey", 3, "Potter", "buy", "shot 1: 2, shot 2: 1")


def test_a_food_sheet_carries_cautions_allergens_and_the_clients_word(campaign, two_shots):
    made = sheet(campaign, documents.draft_of(campaign), "food")
    assert made.parts[0].rows[0][:8] == ("Stack", 1, 2, 1, 6, "Invented kitchen", date(2027, 2, 20), None)
    assert {"client not asked yet", "cereals with gluten"} <= set(made.parts[0].rows[0])
    cautions = " ".join(made.cautions)
    # UK guidance, from memory: hot at 63 °C or above, chilled at 5 to 8 °C or below.
    for words in ("63 °C or above", "5 °C to 8 °C or below", "local food law decides", "not for eating", "allergens"):
        assert words in cautions


@pytest.mark.parametrize(
    ("code", "number", "shot", "name"),
    [
        ("OAT-27", 2, "s1", "OAT-27 props shot 1 v2.pdf"),
        ("OAT-27", None, None, "OAT-27 props draft.pdf"),
        ('../"é\r\nX', 2, None, "X props v2.pdf"),
    ],
)
def test_file_names_are_plain_and_safe(code, number, shot, name):
    document = {"campaign": {"code": code}, "shots": [{"id": "s1", "number": 1}]}
    brief = Brief(document, {}, "0" * 64, number, "locked" if number else "draft")
    assert file_name(brief, "props", shot, "pdf") == name


def test_lists_of_a_locked_brief_are_those_that_were_signed(sign_in, stylist, campaign, two_shots):
    version = seal(campaign, stylist)
    # Past every act, as a fault would: what is handed out must still be what was signed.
    Prop.objects.update(name="Changed behind its back")
    answer = take(sign_in(stylist), campaign, "props", "csv")
    rows = rows_of(answer)
    assert rows[0][0] == f"version 2, locked, {version.digest[:4]} {version.digest[4:8]}"
    assert {row[0] for row in rows if row} >= {"Plate, grey", "Jug"}
    assert "Changed behind its back" not in answer.text
    assert answer["Content-Disposition"] == 'attachment; filename="' + f'{campaign.code} props v2.csv"'


def test_the_page_of_a_locked_brief_shows_what_was_signed_and_offers_no_change(sign_in, stylist, campaign, two_shots):
    seal(campaign, stylist)
    HeroFood.objects.update(name="Changed behind its back")
    page = sign_in(stylist).get(reverse("shots:lists", args=[campaign.key])).text
    assert "Stack" in page
    assert "Changed behind its back" not in page
    assert ">Edit<" not in page
    assert "The brief is locked as version 2" in page


# ---- as files


@pytest.mark.parametrize("what", ["food", "props"])
@pytest.mark.parametrize("one_shot", [True, False])
def test_pdf_is_stamped(sign_in, stylist, campaign, two_shots, what, one_shot):
    asked = {"shot": two_shots[0].key} if one_shot else {}
    for paper, width in (("a4", 595), ("letter", 612)):
        answer = take(sign_in(stylist), campaign, what, "pdf", paper=paper, **asked)
        assert answer["Content-Type"] == "application/pdf"
        (page,) = pypdf.PdfReader(io.BytesIO(answer.content)).pages
        assert round(float(page.mediabox.width)) == width
        assert "DRAFT, not agreed" in page.extract_text()


def test_xlsx_has_a_worksheet_for_the_rows_and_one_for_the_totals(sign_in, stylist, campaign, two_shots):
    book = openpyxl.load_workbook(io.BytesIO(take(sign_in(stylist), campaign, "props", "xlsx").content))
    assert book.sheetnames == ["To bring, due soonest first", "Together, across shots", "Take care"]
    assert [cell.value for cell in book["Together, across shots"][5]][:3] == ["Plate, grey", 3, "Potter"]


def test_csv_of_one_shot_holds_that_shot_alone(sign_in, stylist, campaign, two_shots):
    answer = take(sign_in(stylist), campaign, "props", "csv", shot=two_shots[0].key)
    assert [row[0] for row in rows_of(answer) if row][3:] == ["Plate, grey"]


@pytest.mark.parametrize(
    ("what", "kind", "asked"),
    [
        ("knives", "csv", {}),
        ("props", "exe", {}),
        ("props", "pdf", {"paper": "a3"}),
        ("props", "csv", {"shot": "nowhere"}),
    ],
)
def test_a_list_that_is_not_there_is_404(sign_in, stylist, campaign, two_shots, what, kind, asked):
    assert take(sign_in(stylist), campaign, what, kind, **asked).status_code == 404


def test_a_shot_of_another_campaign_is_404(sign_in, stylist, campaign, two_shots):
    other = Prop.objects.get(name="Another campaign's").shot
    assert take(sign_in(stylist), campaign, "props", "csv", shot=other.key).status_code == 404


# ---- for whom


@pytest.mark.parametrize("field", ["open_version", "locked_version"])
def test_an_assistant_has_lists_of_versions_and_none_of_the_draft(sign_in, stylist, campaign, two_shots, field):
    client = sign_in(member_of(campaign, Role.ASSISTANT))
    page = reverse("shots:lists", args=[campaign.key])
    assert take(client, campaign, "props", "csv").status_code == 403
    assert "Nothing is out yet." in client.get(page).text
    assert "Plate" not in client.get(page).text
    seal(campaign, stylist, field)
    assert take(client, campaign, "props", "csv").status_code == 200
    assert "Plate, grey" in client.get(page).text


def test_the_page_says_where_the_lists_stand_and_what_is_missing(sign_in, stylist, campaign, two_shots):
    page = sign_in(stylist).get(reverse("shots:lists", args=[campaign.key])).text
    assert "One food and three props are listed. One of them misses something, and" in page
    assert "one recipe waits for the client&#x27;s word." in page
    assert "no due date" in page
    assert "shot 1: 2, shot 2: 1" in page
    assert page.count(">Edit<") == 4


def test_the_page_of_one_shot_offers_to_add(sign_in, stylist, campaign, two_shots):
    page = sign_in(stylist).get(reverse("shots:lists", args=[campaign.key]), {"shot": two_shots[0].key}).text
    assert "Add a prop" in page
    assert "Jug" not in page
    assert f"props.pdf?paper=a4&amp;shot={two_shots[0].key}" in page


def test_the_page_without_rows_says_so(sign_in, stylist, campaign):
    page = sign_in(stylist).get(reverse("shots:lists", args=[campaign.key])).text
    assert "No hero food and no props are listed yet." in page


@pytest.mark.parametrize("sealed", [True, False])
def test_the_page_asks_the_database_the_same_number_of_times(sign_in, stylist, campaign, same_queries, sealed):
    client, url = sign_in(stylist), reverse("shots:lists", args=[campaign.key])
    same_queries(lambda: client.get(url), before=lambda: sealed and seal(campaign, stylist))
