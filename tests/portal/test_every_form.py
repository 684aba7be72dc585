"""Protects that no form overwrites what its sender has not seen or does its work twice, unless a reason is given.

What a form carries is written by `as_read`, `as_long` or `only_once`; what of it follows is tested with each act.
"""

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
ROOMS = ("portal", "shots", "layouts")
# Pages of accounts are the library's and concern the one who is signed in; `/look/` shows components and takes nothing.
ASIDE = ("account/", "mfa/", "portal/look/", "portal/components/")
CARRIES = re.compile(r'{% (?:as_read|as_long|only_once)\b|name="as_read"')
BUTTON_CARRIES = re.compile(r"\b(?:single=True|long=True|read=)")

OWN = "concerns the one who sends it alone"
ENDS = "ends in one state whoever asks and however often: it is answered as the first time, and logged once"
ASKS = "asks for work that is known by its inputs: asked twice it is done once, and nothing of the brief changes"
STANDS = "chooses among revisions, all of which stay: the last choice stands, is logged, and can be taken back"
NAMED = "carries the version's digest and number, and answers it once"
FINAL = "a decision is final: the same click again is answered as the first, and anybody else's is shown"

# A form's address, or its template where its address is the page's own, and why it carries nothing of the three.
REASONS = {
    "portal/changes/one.html": FINAL,
    "portal:withdraw-change": FINAL,
    "portal:take-back-waiver": ENDS,
    "portal:end-delegation": ENDS,
    "portal:withdraw-invitation": ENDS,
    "portal:resolve": ENDS,
    "portal:reopen": ENDS,
    "portal/sealing/forms.html": NAMED,
    "portal/sealing/decline_form.html": NAMED,
    "portal/sealing/put_forward.html": NAMED,
    "portal/sealing/withdraw.html": "its address names the version, which is withdrawn once",
    "portal:pivot": "carries the device's token, kept with the change: what comes again is answered as the first",
    "portal/sent.html": "carries all that the form carried which was not taken",
    "portal/brief/since.html": OWN,
    "portal/notices/campaign.html": OWN,
    "portal/notices/mine.html": OWN,
    "portal/notices/stop.html": OWN,
    "portal/people/me.html": OWN,
    "portal/people/join.html": "an invitation is taken once; who comes again is told to sign in",
    "account_logout": OWN,
    "shots:confirm-recipe": "carries recipe and what differs as they were read, and is refused where they changed",
    "shots:clear-substitution": "the same",
    "shots:ask-recipe": ENDS,
    "shots:answer-role": "carries the mark of the answer that it was drawn from",
    "layouts:answer": "a file is placed once: whoever comes second is told where it is",
    "layouts/overlays/place.html": "the same",
    "layouts:set-aside": ENDS,
    "layouts:mockup-current": STANDS,
    "layouts:layout-again": ASKS,
    "layouts:mockup-again": ASKS,
    "layouts:preview-again": ASKS,
    "layouts:layout-pixels": ASKS,
    "layouts:detail": ASKS,
    "layouts:proof": ASKS,
    "layouts/capture/overlays.html": ASKS,
}


def templates():
    """Each template of the rooms: its name and its text."""
    for room in ROOMS:
        base = ROOT / room / "templates"
        for path in sorted(base.rglob("*.html")):
            name = str(path.relative_to(base))
            if not name.startswith(ASIDE):
                yield name, path.read_text()


def forms(name, text):
    """The forms that a template posts: (address or the template's name, whether it carries one of the three)."""
    for tag, inside in re.findall(r"<form\b((?:[^>{]|{%.*?%}|{{.*?}})*)>(.*?)(?=</form>|\Z)", text, re.S):
        if 'method="post"' in tag:
            to = re.search(r"""\baction="{% url ['"]([\w:-]+)""", tag)
            yield to.group(1) if to else name, bool(CARRIES.search(inside))
    for given in re.finditer(r'formaction="{{ (\w+) }}" formmethod="post"', text):
        yield _address(text[: given.start()], given[1], name), False  # a button within another form
    for given in re.finditer(r'{% post_button "[^"]*" (\w+)(.*?)%}', text):
        yield _address(text[: given.start()], given[1], name), bool(BUTTON_CARRIES.search(given[2]))


def _address(before, variable, name):
    """The address that a variable holds by what stands before its use; the template's name where it comes with it."""
    urls = re.findall(r"""{% url ['"]([\w:-]+)['"][^%]*? as (\w+) %}""", before)
    return next((address for address, as_name in reversed(urls) if as_name == variable), name)


def every_form():
    return [found for name, text in templates() for found in forms(name, text)]


def test_every_form_carries_what_it_read_or_happens_once_or_says_why_it_need_not():
    bare = {to for to, carries in every_form() if not carries}
    assert bare - set(REASONS) == set(), "a form carries nothing: see DEVELOPERS.md, Two at once"
    assert set(REASONS) - bare == set(), "a reason for a form that is no more, or carries something by now"


def test_the_forms_are_found():
    """Were the pattern to miss them, the test above would pass on nothing."""
    found = every_form()
    written = sum(text.count('method="post"') + text.count("{% post_button ") for _, text in templates())
    assert len(found) == written > 60


def test_a_form_that_carries_nothing_is_seen():
    text = """{% url 'a:b' c.key as go %}<form class="x" method="post" action="{% url 'a:make' c.key %}">
    </form><form method="post">{% only_once %}</form>{% post_button "Go" go kind="plain" %}"""
    assert list(forms("x.html", text)) == [("a:make", False), ("x.html", True), ("a:b", False)]


def test_what_drops_files_carries_both():
    drop = (ROOT / "portal/templates/portal/components/file_drop.html").read_text()
    assert "{{ carried }}" in drop
