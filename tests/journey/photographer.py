"""What the photographer does: mockups, hero zones, light; looks at every picture; reads what is missing."""

import re

from playwright.sync_api import Locator, expect

from tests.browser.watching import Person
from tests.journey import agency
from tests.journey.designer import CHECKED_MS
from tests.journey.files import MOCKUPS

HERO = {"Left edge": "41", "Right edge": "85", "Top edge": "43", "Bottom edge": "78"}
SECRET = "Between us on the working side: the syrup is glycerine and the client need not know."


def opens_shot(me: Person, number: int) -> None:
    me.section("Shots")
    me.go(agency.SHOTS[number], within=me.page.get_by_role("table"))


def sends_a_mockup(me: Person, number: int) -> None:
    opens_shot(me, number)
    me.go("Send a mockup")
    me.page.get_by_label("Drop the mockup here").set_input_files(MOCKUPS[number])
    me.press("Send the mockup")
    picture = me.page.get_by_role("img", name=f"Mockup of shot {number}, {agency.SHOTS[number]}")
    expect(picture.or_(me.page.get_by_text("Draw the hero zone on the picture"))).to_be_visible(timeout=CHECKED_MS)


def marks_by_numbers(me: Person, number: int) -> None:
    goes_to_the_zone(me, number)
    for edge, value in HERO.items():
        me.write(f"{edge}, in %", value)
    me.press("Keep this hero zone")
    expect(me.page.get_by_role("heading", level=1)).to_contain_text(agency.SHOTS[number])


def marks_by_dragging(me: Person, number: int) -> None:
    """Drawn on the bare ground beside the rectangle that stands there, and kept as it was drawn."""
    goes_to_the_zone(me, number)
    frame = me.page.locator("hero-zone [data-frame]")
    frame.scroll_into_view_if_needed()
    box = frame.bounding_box()
    assert box

    def at(x: float, y: float) -> tuple[float, float]:
        return box["x"] + box["width"] * x, box["y"] + box["height"] * y

    corner = me.page.locator("hero-zone [data-edge='x0 y0']")
    held = corner.bounding_box()
    assert held
    for start, end in (
        ((held["x"] + held["width"] / 2, held["y"] + held["height"] / 2), at(0.42, 0.44)),
        (at(0.7, 0.7), at(0.85, 0.78)),
    ):
        me.page.mouse.move(*start)
        me.page.mouse.down()
        me.page.mouse.move(*end, steps=6)
        me.page.mouse.up()
    sides = [float(me.page.locator(f"hero-zone [name={side}]").input_value()) for side in ("x0", "y0", "x1", "y1")]
    assert all(abs(a - b) < 1 for a, b in zip(sides, (42, 44, 85, 78), strict=True)), sides
    me.press("Keep this hero zone")


def goes_to_the_zone(me: Person, number: int) -> None:
    if "/hero-zone/" not in me.page.url:
        opens_shot(me, number)
        me.go("Mark the hero zone")
    expect(me.page.locator("hero-zone .zone-box")).to_be_visible(timeout=CHECKED_MS)


def writes_light_and_camera(me: Person, number: int) -> None:
    opens_shot(me, number)
    me.go(re.compile("^Change Light"))
    me.write("Key", "Large softbox left, 1.2 m", exact=False)
    me.press("Keep it")
    me.go(re.compile("^Change Camera"))
    me.write("Camera", "Medium format on a stand", within=me.page.locator("#camera form"))
    me.write("Width of a capture", "11648")
    me.write("Height of a capture", "8736")
    me.press("Keep it")
    expect(me.page.locator("#camera")).to_contain_text("Medium format on a stand")


def answers_for_every_role(me: Person) -> None:
    """Nobody is here for six of them: one is named, one covers another, the rest are not needed."""
    me.section("Where it stands")
    me.go("Roles")
    _unfolds(me, "Retoucher")
    me.write("Or somebody else", "Nel Okafor", within=_role(me, "Retoucher"))
    me.write("How to reach them", "nel@retouching.example", within=_role(me, "Retoucher"))
    me.press("Name them", within=_role(me, "Retoucher"))
    _unfolds(me, "Digital operator")
    choice = _role(me, "Digital operator").get_by_label("Whoever does this covers it too")
    choice.select_option("Photographer, Ines Varga")
    me.press("It is covered", within=_role(me, "Digital operator"))
    for role in ("Shoot producer", "Props stylist", "Lighting assistant", "Assistant"):
        _unfolds(me, role)
        me.write("Agreed by", "Maren Holloway", within=_role(me, role))
        me.write("Why", "Two plates in one day.", within=_role(me, role))
        me.press("That is agreed", within=_role(me, role))
    expect(me.page.get_by_role("main")).to_contain_text("Every role on this job is answered.")


def _role(me: Person, role: str) -> Locator:
    return me.page.get_by_role("row").filter(has=me.page.get_by_role("rowheader", name=role, exact=True))


def _unfolds(me: Person, role: str) -> None:
    _role(me, role).locator("summary").click()


def sees_previews_appear(me: Person, number: int) -> None:
    """On the shot's page, without loading it again: every placement of the street has its picture."""
    opens_shot(me, number)
    me.page.evaluate("window.notLoadedAgain = true")
    street = me.page.get_by_role("navigation", name="On the street, at one scale")
    expect(street.get_by_role("listitem").filter(has=me.page.locator("img"))).to_have_count(4, timeout=CHECKED_MS)
    expect(me.page.locator("#pictures .working")).to_have_count(0, timeout=CHECKED_MS)
    assert me.page.evaluate("window.notLoadedAgain")
    me.clean()


def flips_and_compares(me: Person) -> None:
    """From the street to the stage; by key to the next placement; opacity, the line, pixel for pixel."""
    page = me.page
    street = page.get_by_role("navigation", name="On the street, at one scale")
    street.get_by_role("link", name=re.compile("^.*96-sheet")).click()
    me.clean()
    expect(page).to_have_title(re.compile("96-sheet"))
    expect(page.locator(".stage-layer")).to_be_attached()
    stage = page.get_by_role("group", name=re.compile("Keys \\[ and \\] flip"))
    stage.press("]")
    expect(page).to_have_title(re.compile("6-sheet, British English"))
    me.clean()
    page.get_by_role("group", name=re.compile("Keys \\[ and \\] flip")).press("[")
    expect(page).to_have_title(re.compile("96-sheet, British English"))
    expect(page.locator(".stage-layer")).to_be_attached()
    over = page.get_by_role("slider", name="How much of the layout lies over the picture")
    over.fill("40")
    assert page.locator(".stage-layer").evaluate("image => image.style.opacity") == "0.4"
    me.press("both sides of a line")
    line = page.get_by_role("slider", name="Line between the bare picture and the layout")
    for key, says in (("Home", "0"), ("PageUp", "10"), ("ArrowRight", "11")):
        line.press(key)
        expect(line).to_have_attribute("aria-valuenow", says)
    me.clean()
    looks_pixel_for_pixel(me)


def looks_pixel_for_pixel(me: Person) -> None:
    """The full pixels are made when they are asked for; one of them is then one pixel of the screen."""
    page = me.page
    me.press("Have them made")
    expect(page.locator("picture-stage[data-detail]")).to_be_attached(timeout=CHECKED_MS)
    me.press("pixel for pixel")
    detail = page.locator(".stage-detail")
    expect(detail).to_be_visible()
    shown = detail.evaluate("image => [image.getBoundingClientRect().width, image.naturalWidth]")
    assert shown[0] == shown[1]
    me.clean()
    page.get_by_role("group", name=re.compile("Keys \\[ and \\] flip")).press("Escape")
    expect(detail).to_have_count(0)
    expect(page.locator("#picture")).to_contain_text("hero zone")


def reads_what_is_missing(me: Person, *words: str) -> None:
    """On one page, what stands between the brief and the lock."""
    me.section("Where it stands")
    unfold = me.page.get_by_text(re.compile("^All .* things that are owed"))
    if unfold.count():
        unfold.click()
    for word in words:
        expect(me.page.get_by_role("main")).to_contain_text(word)
    me.clean()


def says_something_for_the_working_side(me: Person, number: int) -> None:
    opens_shot(me, number)
    talk = me.page.locator("#talk")
    me.write("What you want to say", SECRET, within=talk)
    talk.get_by_role("radio", name="The working side: agency and crew").check()
    me.press("Say it", within=talk)
    expect(talk.get_by_text(SECRET)).to_be_visible()


def resolves(me: Person, words: str) -> None:
    """The client's thread, where all talk stands: answered, and settled."""
    me.section("Talk")
    thread = me.page.get_by_role("article").filter(has_text=words).first
    thread.locator("summary", has_text="Answer").click()
    me.write("Your answer", "It runs further down in the last frame.", within=thread)
    me.press("Answer", within=thread)
    thread = me.page.get_by_role("article").filter(has_text=words).first
    me.press("Resolve", within=thread)
    me.go("What is resolved")
    expect(me.page.get_by_role("main")).to_contain_text(words)
