"""Protects the contact sheet on paper: size, stamp, scale, and that its pictures are those that the brief names."""

import io
import re

import pypdf
import pytest
from django.core.files.storage import default_storage

from layouts.models import Placement
from layouts.overlays import actions as overlays
from layouts.pictures import actions as pictures
from layouts.previews import sheet_papers
from portal.access import Role
from portal.brief import documents
from portal.brief.documents import Brief
from tests.factories import CampaignFactory, ShotFactory, member_of
from tests.layouts import layout_files
from tests.layouts.mockup_files import upload
from tests.portal.test_papers_pdf import tags
from tests.work import run_work

pytestmark = pytest.mark.django_db
MM = 72 / 25.4  # points


@pytest.fixture
def laid(ordered, place):
    """The agency's producer of a campaign of whose first shot one placement has its layout over a picture."""
    shot = ordered.campaign.shots.get(number=1)
    pictures.add_mockup(ordered, shot.key, file=upload())
    designer = member_of(ordered.campaign, Role.DESIGNER)
    overlays.receive_files(designer, files=[layout_files.upload("a.png")], placement=place(1, "48-sheet").key)
    run_work()
    return ordered


def opened(campaign, brief=None, paper="a3", shot=None):
    data = sheet_papers.pdf(campaign, brief or documents.current(campaign), "en-GB", paper, shot)
    return pypdf.PdfReader(io.BytesIO(data))


def text_of(reader) -> str:
    return " ".join(" ".join(page.extract_text() for page in reader.pages).split())


def version(campaign, state="locked") -> Brief:
    """The draft as it stands, as if it were version 2."""
    draft = documents.draft_of(campaign)
    return Brief(draft.document, draft.digests, draft.digest, 2, state)


def pictures_in(reader) -> int:
    return sum(len(page.images) for page in reader.pages)


# ISO 216, the long side across.
@pytest.mark.parametrize(("paper", "size"), [("a3", (420, 297)), ("a4", (297, 210))])
def test_it_has_the_size_of_its_paper_across(laid, paper, size):
    box = opened(laid.campaign, paper=paper).pages[0].mediabox
    assert (float(box.width) / MM, float(box.height) / MM) == pytest.approx(size, abs=0.1)


def test_a_draft_says_so_and_a_version_its_number_and_digest(laid):
    draft = text_of(opened(laid.campaign))
    assert "DRAFT, not agreed" in draft
    locked = version(laid.campaign)
    text = text_of(opened(laid.campaign, locked))
    assert "version 2, locked" in text
    assert "DRAFT" not in text
    assert " ".join(re.findall("....", locked.digest)) in text


def test_names_sizes_states_and_the_scale_are_told(laid):
    text = text_of(opened(laid.campaign))
    # 12,192 mm at most 42 % of 390 mm wide: 1 : 80 is the largest usual scale.
    assert "Posters at 1 : 80" in text
    for words in ("Bowl by the window", "Tall stack", "96-sheet", "12192 × 3048 mm", "layout owed", "no mockup yet"):
        assert words in text


def test_it_says_that_it_is_accessible_and_tells_its_pictures(laid):
    """ISO 14289-1 (PDF/UA-1): part 1 in its XMP, and alternative text for every figure."""
    reader = opened(laid.campaign)
    assert b"<pdfuaid:part>1</pdfuaid:part>" in reader.trailer["/Root"]["/Metadata"].get_object().get_data()
    assert reader.metadata.title.endswith(" Contact sheet, All shots, British English")
    figures = [alt for kind, alt in tags(reader.trailer["/Root"]["/StructTreeRoot"], []) if kind == "/Figure"]
    assert len(figures) == pictures_in(reader) + 1  # and the code of the stamp's address
    assert all(figures)
    assert "Shot 1, Bowl by the window, as 48-sheet, British English: layout over the mockup" in figures


def test_one_shot_alone(laid):
    second = laid.campaign.shots.get(number=2)
    text = text_of(opened(laid.campaign, shot=second.key))
    assert "Tall stack" in text
    assert "Bowl by the window" not in text


def test_a_version_shows_no_picture_of_something_else_than_it_names(laid, place):
    held = version(laid.campaign)
    before = pictures_in(opened(laid.campaign, held))
    assert before == 3
    Placement.objects.filter(pk=place(1, "48-sheet").pk).update(crop=[0.0, 0.0, 0.9, 0.675])
    pictures.add_mockup(laid, laid.campaign.shots.get(number=1).key, file=upload(seed=9))
    run_work()
    assert pictures_in(opened(laid.campaign, held)) == 0
    assert pictures_in(opened(laid.campaign)) == 3


def test_what_people_wrote_is_text_and_no_markup(laid):
    shot = laid.campaign.shots.get(number=1)
    shot.title = '#panic("no") $x$ @ref <label> // *bold*'
    shot.save()
    assert '#panic("no") $x$ @ref <label> // *bold*' in text_of(opened(laid.campaign))


def test_a_picture_that_is_gone_from_the_store_leaves_its_place_empty(laid):
    for preview in Placement.objects.filter(preview__isnull=False).select_related("preview__work"):
        default_storage.delete(preview.preview.work.result["files"]["small"]["path"])
        default_storage.delete(preview.preview.work.result["files"]["composed"]["path"])
    assert pictures_in(opened(laid.campaign)) == 0


def address(campaign, rest=""):
    return f"/c/{campaign.key}/contact-sheet.pdf{rest}"


def test_it_is_a_download_with_a_plain_name(sign_in, laid):
    answer = sign_in(laid).get(address(laid.campaign, "?paper=a4&language=cy"))
    assert answer.headers["Content-Type"] == "application/pdf"
    assert re.search(r'filename=".* contact sheet cy A4 draft\.pdf"', answer.headers["Content-Disposition"])
    assert answer.headers["Cache-Control"] == "private, no-store"


@pytest.mark.parametrize("rest", ["?paper=a0", "?shot=nothing", "?paper=letter"])
def test_what_there_is_not_is_not_found(sign_in, laid, rest):
    assert sign_in(laid).get(address(laid.campaign, rest)).status_code == 404


def test_another_campaigns_shot_is_not_found(sign_in, laid):
    other = ShotFactory(campaign=CampaignFactory())
    assert sign_in(laid).get(address(laid.campaign, f"?shot={other.key}")).status_code == 404


def test_whoever_may_not_read_the_draft_gets_none_of_it(sign_in, laid):
    assert sign_in(member_of(laid.campaign, Role.ASSISTANT)).get(address(laid.campaign)).status_code == 403
