"""What a browser would send for a form of a page, as its fields stand."""

from html.parser import HTMLParser
from typing import Any


class _Forms(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.forms: list[dict[str, Any]] = []
        self._select = self._text = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        name = given.get("name") or ""
        if tag == "form":
            self.forms.append({"action": given.get("action") or "", "sent": {}})
        elif not self.forms:
            return
        elif tag == "input" and name and given.get("type") != "file":
            if given.get("type") not in ("checkbox", "radio") or "checked" in given:
                self._add(name, given.get("value") or ("on" if given.get("type") == "checkbox" else ""))
        elif tag == "textarea":
            self._text = name
            self._add(name, "")
        elif tag == "select":
            self._select = name
        elif tag == "option" and self._select and ("selected" in given or not self._sent.get(self._select)):
            self._sent[self._select] = [given.get("value") or ""]

    def handle_endtag(self, tag: str) -> None:
        if tag == "textarea":
            # A browser drops the first line end and sends CR LF for the others.
            text = self._sent[self._text][0].replace("\r\n", "\n").removeprefix("\n")
            self._sent[self._text], self._text = [text.replace("\n", "\r\n")], ""
        elif tag == "select":
            self._select = ""

    def handle_data(self, data: str) -> None:
        if self._text:
            self._sent[self._text][0] += data

    @property
    def _sent(self) -> dict[str, list[str]]:
        return self.forms[-1]["sent"]

    def _add(self, name: str, value: str) -> None:
        if name != "csrfmiddlewaretoken":
            self._sent.setdefault(name, []).append(value)


def filled(page: Any, action: str = "", field: str = "") -> dict[str, list[str]]:
    """The first form in the page's main part with this `action` (its end) and this `field`, of all where empty."""
    parser = _Forms()
    parser.feed(page.text.partition("<main")[2] or page.text)
    fits = (form for form in parser.forms if form["action"].endswith(action))
    return next(form["sent"] for form in fits if not field or field in form["sent"])
