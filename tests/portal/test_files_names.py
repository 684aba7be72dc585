"""Protects names of files: shown without tricks, kept readable, given back by RFC 6266 with an ending that is true."""

import email.message
import urllib.parse

import pytest

from portal.files.names import LONGEST, attachment, clean_name, download_name


@pytest.mark.parametrize(
    ("sent", "kept"),
    [
        ("Bowl 48-sheet.png", "Bowl 48-sheet.png"),
        ("../../etc/passwd.png", "passwd.png"),
        ("C:\\work\\final\\bowl.psd", "bowl.psd"),
        ("two\nlines\r\nand\ttabs.png", "two lines and tabs.png"),
        ("menu\u202egnp.exe", "menugnp.exe"),
        ("\u2066left\u2069 \u200eto\u200f right.png", "left to right.png"),
        ("nul\0byte\x1b[31m.png", "nulbyte[31m.png"),
        ("no\u00a0break\u2028here.png", "no break here.png"),
        ("zero\u200bwidth\ufeff.png", "zerowidth.png"),
        ("lone \ud800 half.png", "lone half.png"),
        ("Schüssel „offen“ שלט.png", "Schüssel „offen“ שלט.png"),
        (".hidden.png", "hidden.png"),
        ("trailing. . ", "trailing"),
        ("", "unnamed"),
        ("..", "unnamed"),
        ("/", "unnamed"),
        ("\u202e\u200b", "unnamed"),
    ],
)
def test_clean_name_leaves_what_can_be_seen_on_one_line(sent, kept):
    assert clean_name(sent) == kept


@pytest.mark.parametrize("sent", ["n" * 1000 + ".png", "n" * 1000, "n" * 400 + "." + "x" * 400])
def test_a_long_name_is_cut_and_keeps_its_ending(sent):
    kept = clean_name(sent)

    assert len(kept) == LONGEST
    assert kept.endswith(".png") or not sent.endswith(".png")


@pytest.mark.parametrize(
    ("kept", "type", "given"),
    [
        ("bowl.PNG", "png", "bowl.PNG"),
        ("bowl.jpg", "jpeg", "bowl.jpg"),
        ("bowl.tif", "tiff", "bowl.tif"),
        ("bowl.jpg", "png", "bowl.jpg.png"),
        ("menu.html", "png", "menu.html.png"),
        ("bowl", "psd", "bowl.psd"),
        ("png", "png", "png.png"),
        ("n" * 300, "webp", "n" * 295 + ".webp"),
    ],
)
def test_download_name_says_what_the_file_is(kept, type, given):
    assert download_name(kept, type) == given


@pytest.mark.parametrize(
    "name",
    ["plain.png", "two words.png", 'quoted "bowl".png', "back\\slash.png", "50 % off.png", "semi;colon=x.png",
     "Schüssel €.png", "שלט.png", "🍔.png", "it's.png", "a*b.png"],
)  # fmt: skip
def test_attachment_is_read_back_as_it_was(name):
    """The plain name by the standard library, the one in UTF-8 by RFC 5987, 3.2.1: charset, language, per cents."""
    message = email.message.Message()
    message["Content-Disposition"], _, encoded = attachment(name).partition("; filename*=")
    charset, language, quoted = encoded.split("'") if encoded else ("UTF-8", "", message.get_filename())

    assert message.get_content_disposition() == "attachment"
    assert (charset, language) == ("UTF-8", "")
    assert (urllib.parse.unquote(quoted) if encoded else quoted) == name
    assert len(message.get_filename()) == len(name)
    assert attachment(name).isascii()


def test_attachment_as_rfc_6266_has_it():
    """The shape of its examples in section 5: a plain name first, then the true one in UTF-8, percent-encoded."""
    assert attachment("€ rates.png") == "attachment; filename=\"_ rates.png\"; filename*=UTF-8''%E2%82%AC%20rates.png"
