"""Whether a file is another one again, and whether its name says that it is for another place."""

from __future__ import annotations

from collections.abc import Iterator

from layouts.imaging.inspecting.fault import Fault, Identity, Order, look
from layouts.imaging.inspecting.window import same_shape
from layouts.imaging.names import languages_said
from layouts.imaging.words import shape, sizes

_LONGEST = 20  # times as long as wide: "1x40" is no size


def identity(file: Identity, order: Order) -> Iterator[Fault]:
    yield from _same(file)
    yield from _other_size(file.name, order)
    yield from other_language(file.name, order)


def _same(file: Identity) -> Iterator[Fault]:
    for called, digest in file.older:
        if digest and digest in (file.sha256, file.pixels):
            how = "byte for byte" if digest == file.sha256 else "pixel for pixel, though saved anew"
            yield same_as(called, how)
            return


def same_as(called: str, how: str) -> Fault:
    """The fault of a file that is an earlier one again."""
    return look(
        "same-as-older",
        f"This file is the same, {how}, as {called}: 0 pixels differ. If it should differ, the export may have gone to "
        "another folder; send the new one. If nothing changed, leave it.",
    )


def same_as_language(called: str, own: str) -> Fault:
    """The fault of a file that is another language's; both are said as languages are."""
    return look(
        "name-says-other",
        f"This file is the same, pixel for pixel, as the layout in {called}, and this place is for {own}: 0 pixels "
        "differ. One of the two is likely the wrong language's file; send the right one, or leave it if the type is "
        "really the same.",
    )


def _other_size(name: str, order: Order) -> Iterator[Fault]:
    if order.aspect is None:
        return
    said = [(w, h, unit) for w, h, unit in sizes(name) if max(w, h) / min(w, h) <= _LONGEST]
    if said and not any(same_shape(w / h, order.aspect) for w, h, _ in said):
        w, h, unit = said[0]
        yield look(
            "name-says-other",
            f"The file's name says {w:g} x {h:g}{' ' + unit if unit else ''}, which is "
            f"{shape(w / h)}; {order.called} is {shape(order.aspect)}. Is it meant for this place?",
        )


def other_language(name: str, order: Order) -> Iterator[Fault]:
    """The fault of a name that says another language than the layout is for; none where no language was ordered."""
    if not order.language:
        return
    said = languages_said(name, order.languages)
    own = order.language.casefold()
    if said and not any(own == tag.casefold() or own.split("-")[0] == tag.casefold() for tag in said):
        called = dict(order.languages)
        yield look(
            "name-says-other",
            f"The file's name says {' and '.join(called.get(tag) or tag.upper() for tag in said)}; this place is for "
            f"{called.get(order.language) or order.language}. Send that language's file, or rename "
            "this one if it is right.",
        )
