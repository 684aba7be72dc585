"""The components of every page. A tag's signature is its contract: a misspelt parameter fails when a page is compiled.

Loaded for every template (settings, `builtins`). `/look/` shows each with its states. A literal written in a template
is not escaped, a variable is. Those of forms and pictures are in `ui_forms` and `ui_pictures`, registered here as well.
"""

import json
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import Any

from django import template
from django.conf import settings
from django.template.loader import render_to_string
from django.templatetags.static import static
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

from portal.people.languages import name_of
from portal.site import sentences
from portal.templatetags import ui_changes, ui_forms, ui_pictures

register = template.Library()
for part in (ui_changes.register, ui_forms.register, ui_pictures.register):
    register.tags.update(part.tags)

HERE = "portal/components/"
THIN = "\u202f"  # narrow and unbreakable: a number never loses its unit at the end of a line
_STATES = {"", "wrong", "agreed", "quiet"}
_MODULES = Path(__file__).resolve().parents[1] / "static/portal/js"


def _state(state: str) -> str:
    if state not in _STATES:
        raise template.TemplateSyntaxError(f"state is one of {sorted(_STATES)}, not {state!r}")
    return state


# ---- words and numbers


@register.simple_tag
def measure(value: Any, unit: str = "", places: int | None = None) -> SafeString:
    """What was measured, in monospace with its unit: `{% measure 410 "mm" %}`, `{% measure size "mm" %}`.

    `value`: a number, text ("3.0 : 1") or a pair (width, height); None shows "not known". `places`: decimals.
    """
    if value is None or value == "":
        return mark_safe('<span class="quiet">not known</span>')
    parts = value if isinstance(value, tuple | list) else [value]
    text = f"{THIN}×{THIN}".join(_number(part, places) for part in parts)
    return format_html('<span class="measure">{}{}</span>', text, f"{THIN}{unit}" if unit else "")


def _number(value: Any, places: int | None) -> str:
    if isinstance(value, str):
        return value
    if places is not None:
        return f"{value:.{places}f}".replace("-", "−")
    return f"{value:.12g}".replace("-", "−")


@register.filter
def day(value: str | None) -> str:
    """A date of the document (ISO 8601) as people read it: "20 Feb 2027"; empty when there is none."""
    if not value:
        return ""
    found = date.fromisoformat(value[:10])
    # Unbreakable: a date is read in one go.
    return f"{found.day} {found:%b} {found:%Y}".replace(" ", "\u00a0")


@register.filter
def language(tag: str) -> str:
    """A language by its name: `{{ tag|language }}`."""
    return name_of(tag)


@register.simple_tag
def in_language(code: str, name: str = "") -> SafeString:
    """A language with its code: `{% in_language "cy" "Welsh" %}`."""
    if not name:
        return format_html('<span class="language"><abbr>{}</abbr></span>', code)
    return format_html('<span class="language">{} <abbr>{}</abbr></span>', name, code)


@register.simple_tag
def stamp(number: int | None = None, digest: str = "", state: str = "") -> SafeString:
    """A version's number, state and digest in groups of four; without a number, DRAFT.

    `{% stamp version.number version.digest "locked" %}` · `{% stamp %}` · `{% stamp number digest "" %}`
    """
    if number is None:
        return mark_safe('<span class="stamp stamp-draft">DRAFT</span>')
    words = ", ".join(word for word in (f"version {number}", state) if word)
    if not digest:
        return format_html('<span class="stamp">{}</span>', words)
    groups = sentences.digest_groups(digest)
    return format_html('<span class="stamp">{}, <span class="stamp-digest">{}</span></span>', words, groups)


@register.inclusion_tag(HERE + "lead.html")
def lead(sentence: str = "", title: str = "", number: Any = None) -> dict[str, Any]:
    """The first thing on a page: where it stands, in a sentence; with a title, the title first and larger words after.

    `{% lead sentence %}` · `{% lead sentence title=shot.title number=shot.number %}` · `{% lead title="People" %}`
    """
    return {"sentence": sentence, "title": title, "number": number}


@register.inclusion_tag(HERE + "owed.html")
def owed(items: Sequence[Mapping[str, Any]], none: str = "Nothing is owed.", title: str = "") -> dict[str, Any]:
    """What is owed and by whom. Items: {what, by, url?, state?}; `by` ends the line ("designer owes a file").

    state "wrong" for what must be put right, "agreed" for what is settled, else grey. `none` stands where none are.
    """
    return {
        "items": [{**item, "state": _state(item.get("state", "") or "quiet")} for item in items],
        "none": none,
        "title": title,
    }


@register.inclusion_tag(HERE + "figures.html")
def figures(rows: Iterable[Any]) -> dict[str, Any]:
    """Label and value in hairlines. Rows: (label, value) or (label, value, state); a value may be HTML of `measure`."""
    return {"rows": [(row[0], row[1], _state(row[2]) if len(row) > 2 else "") for row in rows]}


@register.simple_block_tag
def facts(content: str) -> SafeString:
    """The same as `figures`, written in the page: `{% facts %}{% fact "Hero" %}…{% endfact %}{% endfacts %}`."""
    return format_html('<dl class="figures">{}</dl>', content)


@register.simple_block_tag
def fact(content: str, label: str, state: str = "") -> SafeString:
    """One row of `facts`. state: "wrong", "agreed", "quiet" or nothing."""
    return format_html('<div><dt>{}</dt><dd class="{}">{}</dd></div>', label, _state(state), content)


@register.inclusion_tag(HERE + "table.html")
def data_table(
    caption: str, columns: Sequence[Any], rows: Iterable[Sequence[Any]], foot: Sequence[Any] = ()
) -> dict[str, Any]:
    """A table of data; on a phone each row becomes a labelled block.

    `columns`: labels, or (label, "num") for numbers. `rows`: cells, as many as `columns`; the first is the row's head.
    For forms or links in cells write `<table class="table">` by hand, with `data-label` on each `td`.
    """
    heads = [(column, "") if isinstance(column, str) else (column[0], column[1]) for column in columns]
    body = [list(zip(row, heads, strict=True)) for row in rows]
    return {
        "caption": caption,
        "heads": heads,
        "rows": body,
        "foot": list(zip(foot, heads, strict=True)) if foot else [],
    }


@register.simple_block_tag
def nothing_yet(content: str, title: str, who: str = "") -> SafeString:
    """What belongs here, and who brings it: `{% nothing_yet "No shots yet" who="…" %}…{% endnothing_yet %}`."""
    return mark_safe(render_to_string(HERE + "empty.html", {"title": title, "who": who, "content": content}))


@register.simple_tag
def message(text: str, state: str = "") -> SafeString:
    """A sentence set apart: `{% message "…" "wrong" %}`. What Django's messages say is shown by base.html already."""
    kind = f" message-{_state(state)}" if state else ""
    return format_html('<p class="message{}">{}</p>', kind, text)


@register.simple_tag
def person(name: str, role: str, note: str = "") -> SafeString:
    """One person on a line: name, role, and what else is to be said ("may sign", "has signed")."""
    after = format_html('<span class="quiet">{}</span>', note) if note else ""
    line = '<p class="person"><span><span class="person-name">{}</span>, {}</span>{}</p>'
    return format_html(line, name, role, after)


@register.simple_tag
def diff_row(what: str, now: Any, was: Any = "") -> SafeString:
    """One difference: `{% diff_row "Shot 3, lamp B: height" "1.8 m" was="2.1 m" %}`; an empty `now`: taken out."""
    after = format_html("<ins>{}</ins>", now) if now not in ("", None) else mark_safe("<ins>taken out</ins>")
    before = (
        format_html("<span>was <del>{}</del></span>", was) if was not in ("", None) else mark_safe("<span>new</span>")
    )
    return format_html('<div class="diff"><span class="diff-what">{}</span>{}{}</div>', what, after, before)


@register.inclusion_tag(HERE + "pager.html", takes_context=True)
def pager(context: Any, page: Any, things: str = "things") -> dict[str, Any]:
    """Ways to the pages before and after; `page` is a Django `Page`. Keeps the rest of the query. Says where one is."""
    query = context["request"].GET.copy()
    query.pop("page", None)
    rest = query.urlencode()
    return {"page": page, "things": things, "rest": f"&{rest}" if rest else ""}


@register.inclusion_tag(HERE + "progress.html")
def progress_line(
    sentence: str, done: int | None = None, total: int | None = None, url: str = "", every: str = "1s"
) -> dict[str, Any]:
    """Work that goes on: a line and a sentence. While `url` is given, htmx fetches it anew and replaces the line.

    The answer at `url` is what stands there next: this tag again, or the result (give it `data-say="Preview is ready"`,
    and it is announced). Without JavaScript a link loads the page again.
    """
    return {"sentence": sentence, "done": done, "total": total, "url": url, "every": every}


@register.simple_block_tag
def disclosure(content: str, summary: str, opened: bool = False) -> SafeString:
    """What is shown when asked for: `{% disclosure "Older revisions" %}…{% enddisclosure %}`."""
    text = '<details{}><summary>{}</summary><div class="disclosed">{}</div></details>'
    return format_html(text, mark_safe(" open") if opened else "", summary, content)


@register.simple_block_tag
def dialog(content: str, opener: str, title: str, kind: str = "quiet") -> SafeString:
    """A question over the page: a button, and a modal dialog; without JavaScript the content unfolds in the page."""
    context = {"opener": opener, "title": title, "kind": kind, "content": content}
    return mark_safe(render_to_string(HERE + "dialog.html", context))


@register.simple_block_tag
def remark(
    content: str,
    author: str,
    role: str,
    when: Any,
    text: str,
    pin: int | None = None,
    audience: str = "",
    resolved: str = "",
    anchor: str = "",
) -> SafeString:
    """One comment; the content is what can be done with it and its answers (`remark` again).

    `pin`: the number of its place on the picture. `audience`: who reads it, in words. `resolved`: "resolved by …", or
    nothing. `anchor`: its id on the page.
    """
    context = locals()
    return mark_safe(render_to_string(HERE + "comment.html", context))


# ---- base.html


@register.simple_tag(takes_context=True)
def importmap(context: Any) -> SafeString:
    """The import map: each module's plain address to its address with a hash, for relative imports obey it."""
    names = sorted(path.name for path in _MODULES.glob("*.js"))
    table = {f"{settings.STATIC_URL}portal/js/{name}": static(f"portal/js/{name}") for name in names}
    # "<" cannot end the script element early; names are ours, but a storage's address need not be.
    text = json.dumps({"imports": table}).replace("<", "\\u003c")
    nonce = getattr(context.get("request"), "csp_nonce", "")
    return format_html('<script type="importmap" nonce="{}">{}</script>', str(nonce), mark_safe(text))


@register.simple_tag
def stylesheets() -> SafeString:
    """One link for each style sheet, in the order of the layers."""
    link = '<link rel="stylesheet" href="{}">'
    return mark_safe("\n".join(format_html(link, static(f"portal/css/{name}.css")) for name in STYLES))


STYLES = (
    "layers", "tokens", "fonts", "type", "layout", "head", "text", "figures", "controls", "forms", "street", "sheet",
    "stage", "talk", "document", "changes", "pivot", "print", "utilities",
)  # fmt: skip
