"""Protects a whole batch from its worst file: hostile ones among good ones, sent through the page, read by the worker.

Each gets one sentence, none costs another its place, names are shown without tricks, and originals come back byte for
byte under their names.
"""

import io
import urllib.parse
import zipfile

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from layouts.models import Incoming, Layout
from portal.models import StoredFile, Work
from tests.hostile import bombs
from tests.layouts.layout_files import drawn, encoded
from tests.work import run_work

pytestmark = pytest.mark.django_db(transaction=True)
OVERRIDE, ZERO_WIDTH = "\u202e", "\u200b"


def animated(kind):
    frames = [drawn(seed=at) for at in range(2)]
    return encoded(frames[0], kind, save_all=True, append_images=frames[1:])


def with_zip(data):
    """A PNG that is a ZIP archive as well."""
    held = io.BytesIO(data)
    with zipfile.ZipFile(held, "a") as archive:
        archive.writestr("run.sh", "echo hello")
    return held.getvalue()


def pdf_in_jpeg():
    """A JPEG whose comment begins a PDF."""
    raw, comment = encoded(drawn(mode="RGB"), "JPEG"), b"%PDF-1.7\n1 0 obj<<>>endobj"
    return raw[:2] + b"\xff\xfe" + (len(comment) + 2).to_bytes(2, "big") + comment + raw[2:]


# name as it is sent -> bytes, name as it is kept, what its sentence holds
HOSTILE = [
    ("empty.png", lambda: b"", "empty.png", "0 bytes arrived"),
    ("claims.png", bombs.BOMBS["png-claims-400-megapixels.png"][0], "claims.png", "400 megapixels"),
    ("strip.png", lambda: bombs.png(1, 100_000, b"\0"), "strip.png", "1 x 100000 px"),
    ("cut.png", lambda: encoded(drawn())[:-200], "cut.png", "ends early"),
    ("flipped.tif", lambda: encoded(drawn(), "TIFF")[:60] + b"\xff" * 9, "flipped.tif", "end"),
    ("Stack_96-sheet_cy.png", lambda: b"MZ\x90\0 this is a program", "Stack_96-sheet_cy.png", "no picture file"),
    ("moving.png", lambda: animated("PNG"), "moving.png", "animated"),
    ("moving.webp", lambda: animated("WEBP"), "moving.webp", "animated"),
    ("moving.gif", lambda: animated("GIF"), "moving.gif", "a GIF, which is not taken"),
    ("drawing.svg", lambda: b"<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'/>", "drawing.svg", "SVG"),
    ("floating.tif", lambda: encoded(Image.new("F", (40, 30), float("nan")), "TIFF"), "floating.tif", "floating-point"),
    ("two in one.jpg", pdf_in_jpeg, "two in one.jpg", "has no transparency"),
    ("deep.pdf", lambda: bombs.nested_pages(3000), "deep.pdf", "PDF"),
    ("locked.psd", lambda: bombs.psd(30_000, 30_000), "locked.psd", "900 megapixels"),
    ("../../etc/passwd.png", lambda: b"root", "passwd.png", "no picture file"),
    (f"menu{OVERRIDE}gnp.exe", lambda: b"MZ", "menugnp.exe", "no picture file"),
    (f"un{ZERO_WIDTH}seen.png", lambda: b"x", "unseen.png", "no picture file"),
    ("n" * 340 + ".png", lambda: b"x", "n" * 251 + ".png", "no picture file"),
    ("<script>alert(1)</script>.png", lambda: b"x", "script>.png", "no picture file"),
]  # fmt: skip
GOOD = [
    ("Bowl_48-sheet_en-GB.png", lambda: with_zip(encoded(drawn())), "48-sheet"),
    ("Bowl_96-sheet_en-GB.webp", lambda: encoded(drawn((1600, 400)), "WEBP", lossless=True), "96-sheet"),
    ("Bowl_6-sheet_en-GB.tif", lambda: encoded(drawn((600, 900)), "TIFF", compression="tiff_lzw"), "6-sheet"),
]


def between(good, hostile):
    """The good ones at the start, in the middle and at the end."""
    half = len(hostile) // 2
    return [good[0], *hostile[:half], good[1], *hostile[half:], good[2]]


def test_hostile_files_cost_the_good_ones_nothing(designer, place, sign_in):
    files = between([(name, make()) for name, make, _ in GOOD], [(name, make()) for name, make, *_ in HOSTILE])
    uploads = [SimpleUploadedFile(name, data) for name, data in files]
    address = f"/c/{designer.campaign.key}/layouts/"

    answer = sign_in(designer).post(address + "send/", {"files": uploads})
    run_work()

    assert answer.status_code == 302
    refused = {row.name: row.says for row in Incoming.objects.filter(state=Incoming.State.REFUSED)}
    for _, _, kept, says in HOSTILE:
        assert says in refused.pop(kept)
    assert refused == {}
    for name, _, format in GOOD:
        layout = Layout.objects.select_related("work").get(placement=place(1, format))
        assert (layout.name, layout.work.state) == (name, Work.State.DONE)
    page = sign_in(designer).get(answer["Location"]).text
    assert "<script>alert" not in page
    assert not {OVERRIDE, ZERO_WIDTH} & set(page)


def test_originals_come_back_byte_for_byte_under_their_names(designer, place, sign_in):
    data = with_zip(encoded(drawn()))
    wanted = "Schüssel „ofenfrisch“ 48-sheet.html"
    address = f"/c/{designer.campaign.key}/layouts/"
    sign_in(designer).post(f"{address}of/{place().key}/send/", {"files": SimpleUploadedFile(wanted, data)})
    layout = Layout.objects.select_related("file").get()

    answer = sign_in(designer).get(f"{address}file/{layout.key}/")

    assert b"".join(answer.streaming_content) == data
    assert (answer["Content-Type"], answer["X-Content-Type-Options"]) == ("image/png", "nosniff")
    assert by_rfc_5987(answer["Content-Disposition"]) == wanted + ".png"
    assert answer["Content-Disposition"].isascii()
    assert StoredFile.objects.get().sha256 == layout.file.sha256


def by_rfc_5987(value):
    """The name in UTF-8 that a Content-Disposition gives, which RFC 6266, 4.3, prefers."""
    kind, _, name = value.partition("; filename*=UTF-8''")
    assert kind.startswith("attachment; ")
    return urllib.parse.unquote(name)
