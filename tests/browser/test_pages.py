"""Protects every page as each role sees it: no sideways scroll, axe in both grounds, nothing that a browser laments."""

import pytest

from tests.browser.watching import Person

pytestmark = [pytest.mark.browser, pytest.mark.services]
WIDTHS = (1280, 390)
# What depends on the ground; everything else axe has seen in the first.
COLOURS = '{runOnly: ["color-contrast", "link-in-text-block"]}'

C, SHOT = "/c/{campaign}/", "/c/{campaign}/shots/{shot}/"
# The campaign that is locked: what stands on its pages is there only after a lock.
L, LSHOT = "/c/{locked}/", "/c/{locked}/shots/{locked_shot}/"
# Pages that everyone reads, each with what differs by role.
READ = [
    *("/", C, f"{C}shots/", SHOT, f"{C}formats/", f"{C}layouts/", f"{C}food-and-props/", f"{C}talk/", f"{C}brief/"),
    *(f"{C}people/", f"{C}stage/{{wide}}/"),
]
# Pages of one role's own work, and those that are the same for everybody.
OWN = {
    "agency": [
        *(
            "/start/",
            "/me/",
            "/me/mail/",
            f"{C}mail/",
            f"{C}terms/",
            f"{C}log/",
            f"{C}put-forward/",
            f"{C}pictures/",
            f"{C}people/{{member}}/remove/",
        ),
        *(
            f"{C}formats/?choose",
            f"{C}formats/by-hand/poster/",
            f"{C}formats/by-hand/screen/",
            f"{C}formats/{{format}}/",
        ),
        *(f"{C}formats/{{format}}/remove/", f"{C}shots/add/", f"{SHOT}edit/", f"{SHOT}remove/"),
        *(f"{C}talk/?show=resolved", f"{C}talk/shot/{{shot}}/", f"{C}talk/campaign/{{campaign}}/"),
        *(L, f"{L}changes/", f"{L}changes/raise/", f"{L}signatures/", f"{L}waivers/", f"{L}log/"),
        *(f"{L}changes/{{carried_out}}/", f"{L}brief/compare/?old=1&new=2", f"{L}brief/"),
    ],
    "designer": [
        *(f"{C}layouts/of/{{wide}}/", f"{C}layouts/of/{{faulty}}/", f"{C}stage/{{faulty}}/"),
    ],
    "photographer": [
        f"{SHOT}mockup/",
        f"{SHOT}hero-zone/",
        f"{SHOT}pictures/",
        f"{SHOT}light/",
        f"{SHOT}camera/",
        f"{C}roles/",
        *(L, f"{LSHOT}capture/", f"{LSHOT}set-overlays/", f"{LSHOT}on-the-day/", f"{L}changes/{{pivot}}/"),
        f"{SHOT}set-overlays/",
    ],
    "stylist": [
        *(f"{SHOT}food/add/", f"{SHOT}props/add/", f"{C}food/{{food}}/", f"{C}food/{{food}}/remove/"),
        *(f"{C}props/{{prop}}/", f"{C}props/{{prop}}/remove/", f"{C}food-and-props/?shot={{shot}}"),
    ],
    "client": [
        f"{C}terms/",
        f"{C}stage/{{faulty}}/",
        f"{C}layouts/of/{{faulty}}/",
        f"{SHOT}mockup/",
        f"{SHOT}hero-zone/",
        *(L, f"{L}changes/", f"{L}changes/{{undecided}}/"),
    ],
}
SIGNED_OUT = [
    *("/account/login/", "/account/password/reset/", "/account/password/reset/sent/", "/account/signup/"),
    "/account/login/?next=/",
]


@pytest.fixture
def reader(chromium, demo, signed_in):
    """A function that signs a role in, or opens a browser in which nobody is signed in."""
    strangers = []

    def open_browser(role: str = "") -> Person:
        if role:
            return signed_in(role, width=WIDTHS[0])
        strangers.append(Person(chromium, demo.address, "nobody", width=WIDTHS[0]))
        return strangers[-1]

    yield open_browser
    for me in strangers:
        me.close()


def faults(me: Person, path: str) -> list[str]:
    """What is wrong with one page, in each width and each ground; loaded once."""
    me.page.set_viewport_size({"width": WIDTHS[0], "height": 900})
    answer = me.page.goto(me.address + path)
    me.settle()
    found = [] if answer and answer.status == 200 else [f"{path}: {answer and answer.status}"]
    for width in WIDTHS:
        me.page.set_viewport_size({"width": width, "height": 900})
        wide = me.page.evaluate("document.documentElement.scrollWidth")
        found += [f"{path} at {width}: {wide} px wide"] if wide > width else []
        for ground, rules in (("light", "{}"), ("dark", COLOURS)):
            me.page.emulate_media(color_scheme=ground)
            found += [f"{path} at {width}, {ground}: {said}" for said in me.violations(rules)]
    return found


@pytest.mark.parametrize("role", OWN)
def test_pages_stand_in_every_width_and_ground(reader, demo, role):
    me = reader(role)
    found = [fault for path in READ + OWN[role] for fault in faults(me, path.format(**demo.keys))]
    assert found + me.complaints == []


def test_pages_of_whoever_is_signed_out_stand_in_every_width_and_ground(reader):
    me = reader()
    found = [fault for path in SIGNED_OUT for fault in faults(me, path)]
    assert found + me.complaints == []


def test_refusals_are_pages_too(reader, demo):
    """No such page, and one that this reader may not open."""
    me = reader("client")
    with me.refused(404), me.refused(403):
        found = [*faults(me, "/c/nothing-there/"), *faults(me, f"/c/{demo.keys['campaign']}/put-forward/")]
    statuses = [fault for fault in found if fault.endswith((": 404", ": 403"))]
    assert (len(statuses), [fault for fault in found if fault not in statuses]) == (2, [])
    assert me.complaints == []
