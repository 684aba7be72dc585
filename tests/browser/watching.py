"""One person in a browser of their own, watched: axe on what they open, and whatever the browser complains of."""

import contextlib
import re
from collections.abc import Iterator
from pathlib import Path

from playwright.sync_api import Browser, Page, Response

AXE = (Path(__file__).parent / "vendor/axe.min.js").read_text(encoding="utf-8")
# The machine may be busy with something else; nothing here waits longer than it must.
PATIENCE_MS = 60_000
# htmx asks and swaps: nothing is on its way any more, and every picture that is to be seen has come.
_SETTLED = """() => !document.querySelector('.htmx-request, .htmx-swapping, .htmx-settling')
    && [...document.images].every((image) => image.complete || image.loading === 'lazy')"""


# In a page without JavaScript no timer ever fires: axe's are run at once there, else it would wait for ever.
_NO_TIMERS = "window.setTimeout = (act) => { Promise.resolve().then(act); return 0; }"


def launch(play) -> Browser:
    return play.chromium.launch(executable_path="/usr/bin/chromium", args=["--no-sandbox"])


class Person:
    """A person with a browser context of their own. Names of files and buttons are looked up by role and name."""

    def __init__(self, browser: Browser, address: str, name: str, *, width: int = 1280, height: int = 900, **how):
        self.name, self.address = name, address
        self.scripted = how.get("java_script_enabled", True)
        self.context = browser.new_context(viewport={"width": width, "height": height}, **how)
        self.context.set_default_timeout(PATIENCE_MS)
        self.page: Page = self.context.new_page()
        self.complaints: list[str] = []
        self.seen: set[str] = set()
        self._allowed: list[str] = []
        self._deaf = False
        self.page.on("pageerror", lambda error: self._complain(f"error: {error}"))
        self.page.on("console", lambda said: self._complain(said.text) if said.type == "error" else None)

    def _complain(self, text: str) -> None:
        if not self._deaf and not any(allowed in text for allowed in self._allowed):
            self.complaints.append(f"{self.name} at {self.here}: {text}")

    @property
    def here(self) -> str:
        """The page's address without its host; keys of rows are left out, so that the same page has one name."""
        return re.sub(r"/[2-9a-hjkmnp-z]{12}(?=/|$)", "/…", self.page.url.removeprefix(self.address))

    def open(self, path: str) -> Response | None:
        """Go to an address of the portal, and look at the page."""
        answer = self.page.goto(path if path.startswith("http") else self.address + path)
        self.clean()
        return answer

    def go(self, link: str | re.Pattern[str], *, within=None, exact: bool = True) -> None:
        """Follow a link by its name, and look at the page that it leads to."""
        (within or self.page).get_by_role("link", name=link, exact=exact).first.click()
        self.clean()

    def section(self, name: str) -> None:
        """Go to one of the campaign's sections by the running head; on a telephone it is unfolded first."""
        sections = self.page.get_by_role("navigation", name="Sections")
        folded = sections.locator("summary")
        if folded.is_visible():
            folded.click()
        sections.get_by_role("link", name=name, exact=True).locator("visible=true").click()
        self.clean()

    def press(self, button: str | re.Pattern[str], *, within=None, exact: bool = True) -> None:
        """Press a button by its name, and look at what comes of it."""
        (within or self.page).get_by_role("button", name=button, exact=exact).first.click()
        self.clean()

    def write(self, label: str, value: str, *, within=None, exact: bool = False) -> None:
        """Type into a field by its label."""
        (within or self.page).get_by_label(label, exact=exact).first.fill(value)

    def settle(self) -> None:
        """Wait until the page stands: loaded, and nothing asked of the portal is still on its way."""
        self.page.wait_for_load_state("load")
        # Without JavaScript nothing comes after the load, and nothing can be waited for: that takes its frames.
        if self.scripted:
            self.page.wait_for_function(_SETTLED)

    def clean(self) -> None:
        """Note every violation that axe finds in the page as it stands; a page of the same make is looked at once."""
        self.settle()
        # Keys, tokens and figures are left out.
        make = self.here + re.sub(r"\w{12,}|\d+", "", self.page.locator("body").inner_html())
        if make in self.seen:
            return
        self.seen.add(make)
        self.complaints += [f"{self.name} at {self.here}: axe {found}" for found in self.violations()]

    def fits(self) -> bool:
        """Whether the page is no wider than its window."""
        return self.page.evaluate("document.documentElement.scrollWidth <= innerWidth")

    def look(self, *, width: int, ground: str = "light", options: str = "{}") -> None:
        """Note what is wrong with the page as it stands, in this width and on this ground; it stays so."""
        self.page.set_viewport_size({"width": width, "height": 844})
        self.page.emulate_media(color_scheme=ground)
        self.settle()
        if not self.fits():
            self._complain(f"wider than {width} px")
        self.complaints += [
            f"{self.name} at {self.here}, {width}, {ground}: axe {found}" for found in self.violations()
        ]

    def violations(self, options: str = "{}") -> list[str]:
        """What axe finds, with axe's own options in JavaScript."""
        # axe reads style sheets in a document of its own, of which the policy complains: that is not the page's doing.
        self._deaf = True
        try:
            if not self.page.evaluate("'axe' in window"):
                self.page.evaluate(AXE)
            if not self.scripted:
                self.page.evaluate(_NO_TIMERS)
            asked = options if self.scripted else f"{{...{options}, preload: false}}"
            found = self.page.evaluate(f"axe.run(document, {asked})")["violations"]
        finally:
            self._deaf = False
        return [f"{one['id']}: {node['html'][:160]}" for one in found for node in one["nodes"]]

    @contextlib.contextmanager
    def refused(self, status: int) -> Iterator[None]:
        """Within it the browser may say that an answer had this status: the act is meant to be refused."""
        self._allowed.append(f"status of {status}")
        yield
        self._allowed.pop()

    def close(self) -> None:
        self.context.close()
