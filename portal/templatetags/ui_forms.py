"""Components of forms: fields, errors, buttons, the file drop, the place of a pin."""

from collections.abc import Iterable
from typing import Any

from django import forms, template
from django.utils.html import conditional_escape, format_html
from django.utils.safestring import SafeString, mark_safe

from portal.brief import both_forms, once
from portal.site import sentences

register = template.Library()
HERE = "portal/components/"
_KINDS = {"primary", "quiet", "danger", "plain"}


def _kind(kind: str) -> str:
    if kind not in _KINDS:
        raise template.TemplateSyntaxError(f"kind is one of {sorted(_KINDS)}, not {kind!r}")
    return "button" if kind == "primary" else f"button button-{kind}"


def _shape(widget: forms.Widget) -> str:
    if isinstance(widget, forms.CheckboxInput):
        return "check"
    return "choices" if widget.use_fieldset else "plain"


@register.inclusion_tag(HERE + "field.html")
def field(bound: forms.BoundField, unit: str = "", label: str = "", help: str = "") -> dict[str, Any]:
    """A field of a form with its label, help and errors: `{% field form.width unit="mm" %}`.

    Where somebody else changed it while this was written, theirs stands below, with the choice between the two.

    Any Django widget: text, number (with its unit), select, textarea, file, checkbox, radio buttons, dates.
    """
    widget = bound.field.widget
    return {
        "field": bound,
        "hidden": widget.is_hidden,
        "shape": _shape(widget),
        "unit": unit,
        "label": label or bound.label,
        "help": help or bound.help_text,
        "optional": not bound.field.required and _shape(widget) != "check",
        # What somebody else has written there meanwhile: portal/brief/both_forms.py.
        "theirs": getattr(bound.form, "both", {}).get(bound.name),
    }


@register.simple_tag
def as_read(form: Any) -> SafeString:
    """Within a form that others may have open as well: what it shows as it was read, so that nobody is overwritten."""
    read = getattr(form, "read", None)
    if read is None:
        return SafeString("")
    return format_html('<input type="hidden" name="{}" value="{}">', both_forms.READ, both_forms.written(read))


@register.simple_tag(takes_context=True)
def as_long(context: Any) -> SafeString:
    """Within a form that removes or switches: how long the campaign's log was when its page was read."""
    member = getattr(context.get("request"), "member", None)
    if member is None:
        return SafeString("")
    length = member.campaign.log_length
    return format_html('<input type="hidden" name="{}" value="{}">', both_forms.READ, str(length))


@register.inclusion_tag(HERE + "meanwhile.html")
def meanwhile(told: Any, says: str) -> dict[str, Any]:
    """What others did while somebody was deciding, in the log's words; nothing where they did nothing."""
    return {"told": told, "says": says}


@register.simple_tag
def only_once() -> SafeString:
    """Within a form that makes something: sent twice, it makes one thing (portal/brief/once.py)."""
    return format_html('<input type="hidden" name="{}" value="{}">', once.FIELD, once.word())


@register.inclusion_tag(HERE + "form_errors.html")
def form_errors(*found: Any) -> dict[str, Any]:
    """What is wrong with a refused form, each with a way to its field; takes the focus when it comes onto the page.

    Give every form of the page (`{% form_errors form lines %}`); formsets too. Shows nothing where nothing is wrong.
    """
    shown = [form for one in found if one for form in ([one, *one.forms] if hasattr(one, "management_form") else [one])]
    errors = [error for form in shown for error in _errors(form)]
    says = sentences.sentence(f"{sentences.count(len(errors), 'thing')} {_are(errors, shown)}")
    return {"errors": errors, "says": says, "kept": "" if _has_secret(shown) else "Nothing you typed is lost."}


def _are(errors: list[dict[str, str]], shown: Iterable[Any]) -> str:
    """What the errors are: things to be put right, or only what somebody else has changed meanwhile."""
    one = len(errors) == 1
    if len(errors) == sum(len(getattr(form, "both", {})) for form in shown):
        return f"{'was' if one else 'were'} changed while you had it open"
    return f"{'is' if one else 'are'} to be put right"


def _has_secret(shown: Iterable[Any]) -> bool:
    """Whether a form has a password: a browser is never given that back."""
    fields = [field for form in shown for field in getattr(form, "fields", {}).values()]
    return any(getattr(field.widget, "input_type", "") == "password" for field in fields)


def _errors(form: Any) -> list[dict[str, str]]:
    if not getattr(form, "is_bound", False):
        return []
    whole = form.non_form_errors() if hasattr(form, "non_form_errors") else form.non_field_errors()
    found = [{"to": "", "label": "", "says": str(error)} for error in whole]
    if hasattr(form, "non_form_errors"):
        return found
    for name, errors in form.errors.items():
        if name in form.fields:
            bound = form[name]
            found += [
                {"to": bound.id_for_label or bound.auto_id, "label": str(bound.label), "says": str(e)} for e in errors
            ]
    return found


@register.simple_tag
def button(label: str, kind: str = "primary", name: str = "", value: str = "", attrs: str = "") -> SafeString:
    """A button that sends its form. kind: primary, quiet, danger, plain. `attrs`: a literal ('formnovalidate')."""
    named = format_html(' name="{}" value="{}"', name, value) if name else ""
    more = mark_safe(f" {conditional_escape(attrs)}") if attrs else ""
    return format_html('<button type="submit" class="{}"{}{}>{}</button>', _kind(kind), named, more, label)


@register.simple_tag
def link_button(label: str, url: str, kind: str = "quiet") -> SafeString:
    """A link that looks like a button, for the one way on from a page."""
    return format_html('<a class="{}" href="{}">{}</a>', _kind(kind), url, label)


@register.inclusion_tag(HERE + "post_button.html", takes_context=True)
def post_button(
    context: Any,
    label: str,
    url: str,
    kind: str = "quiet",
    name: str = "",
    value: str = "",
    target: str = "",
    single: bool = False,
    long: bool = False,
    read: str | None = None,
) -> dict[str, Any]:
    """A form that is one button: `{% post_button "Resolve" url kind="plain" %}`. `target`: where htmx swaps.

    `single`, `long`: it carries what `only_once` and `as_long` write. `read`: the mark of what it was drawn from.
    """
    carried = (only_once() if single else SafeString("")) + (as_long(context) if long else SafeString(""))
    if read is not None:
        carried += format_html('<input type="hidden" name="read" value="{}">', read)
    return {
        "token": context.get("csrf_token"), "label": label, "url": url, "kind": _kind(kind),
        "name": name, "value": value, "target": target, "carried": carried,
    }  # fmt: skip


@register.inclusion_tag(HERE + "file_drop.html", takes_context=True)
def file_drop(
    context: Any, url: str, title: str, name: str = "files", accept: str = "", multiple: bool = True,
    help: str = "", send: str = "Send", target: str = "", errors: Any = (), id: str = "drop",
) -> dict[str, Any]:  # fmt: skip
    """Files dropped or chosen, listed with their sizes before they go, sent with progress to `url` as `name`.

    `target`: a CSS selector where htmx puts the answer; without it the answer's page is opened. `errors`: of the
    bound field. Without JavaScript it is a file field and a button.
    """
    keys = ("url", "title", "name", "accept", "multiple", "help", "send", "target", "errors", "id")
    values = (url, title, name, accept, multiple, help, send, target, errors, id)
    given = dict(zip(keys, values, strict=True))
    return {"token": context.get("csrf_token"), "carried": as_long(context) + only_once(), **given}


@register.inclusion_tag(HERE + "pin_place.html")
def pin_place(
    x: Any = "", y: Any = "", stage: str = "stage", x_name: str = "pin_x", y_name: str = "pin_y"
) -> dict[str, Any]:
    """Inside a comment's form: two numbers in per cent of the picture, filled by pointing at the stage with this id.

    Posted as `pin_x`, `pin_y`: 0 to 100 from the left and from the top, both empty where the comment has no place.
    """
    return {
        "x": x if x is not None else "",
        "y": y if y is not None else "",
        "stage": stage,
        "x_name": x_name,
        "y_name": y_name,
    }
