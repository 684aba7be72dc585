"""Languages of a campaign as BCP 47 tags: read, spelt the standard way, and named in English."""

import re
from collections.abc import Iterable

from django.core.exceptions import ValidationError

# Offered in forms; any other well-formed tag may be typed. Without commas, for they stand in lists.
NAMES = {
    "en-GB": "British English",
    "cy": "Welsh",
    "ga": "Irish",
    "gd": "Scottish Gaelic",
    "en-US": "American English",
    "es-US": "Spanish (United States)",
    "en-CA": "Canadian English",
    "fr-CA": "Canadian French",
    "fr-FR": "French (France)",
    "fr-BE": "French (Belgium)",
    "nl-BE": "Dutch (Belgium)",
    "nl-NL": "Dutch (Netherlands)",
    "de-DE": "German (Germany)",
    "de-AT": "Austrian German",
    "de-CH": "Swiss German",
    "fr-CH": "Swiss French",
    "it-IT": "Italian",
    "es-ES": "European Spanish",
    "ca": "Catalan",
    "pt-PT": "European Portuguese",
    "pt-BR": "Brazilian Portuguese",
    "pl-PL": "Polish",
    "sv-SE": "Swedish",
    "da-DK": "Danish",
    "nb-NO": "Norwegian",
    "fi-FI": "Finnish",
    "ar": "Arabic",
    "he": "Hebrew",
    "tr-TR": "Turkish",
    "el-GR": "Greek",
    "zh-Hans": "Simplified Chinese",
    "zh-Hant": "Traditional Chinese",
    "ja-JP": "Japanese",
    "ko-KR": "Korean",
}

# ISO 639-1, all two-letter codes of languages in use (from memory; a test compares with Django's own table).
_TWO_LETTERS = frozenset(
    """aa ab ae af ak am an ar as av ay az ba be bg bi bm bn bo br bs ca ce ch co cr cs cu cv cy da de dv dz ee el en
    eo es et eu fa ff fi fj fo fr fy ga gd gl gn gu gv ha he hi ho hr ht hu hy hz ia id ie ig ii ik io is it iu ja jv
    ka kg ki kj kk kl km kn ko kr ks ku kv kw ky la lb lg li ln lo lt lu lv mg mh mi mk ml mn mr ms mt my na nb nd ne
    ng nl nn no nr nv ny oc oj om or os pa pi pl ps pt qu rm rn ro ru rw sa sc sd se sg si sk sl sm sn so sq sr ss st
    su sv sw ta te tg th ti tk tl tn to tr ts tt tw ty ug uk ur uz ve vi vo wa wo xh yi yo za zh zu""".split()  # noqa: SIM905  two hundred quotes say no more
)

# RFC 5646, section 2.1, without extended languages, extensions and private use, which no poster was ordered in;
# longer primary languages are left out too, for the registry has none and "Welsh" would pass.
_TAG = re.compile(
    r"(?P<language>[a-z]{2,3})(?:-(?P<script>[a-z]{4}))?(?:-(?P<region>[a-z]{2}|\d{3}))?"
    r"(?P<variants>(?:-(?:[a-z0-9]{5,8}|\d[a-z0-9]{3}))*)",
    re.IGNORECASE,
)
_LONGEST = 35  # RFC 5646, section 4.4.1: room for every tag that is not made up


def read_tag(text: str) -> str:
    """The tag in the standard's spelling: "EN_gb" gives "en-GB", "zh-hant-tw" gives "zh-Hant-TW".

    Raises ValidationError with a sentence. Source: RFC 5646, sections 2.1 and 2.1.1.
    """
    text = text.strip().replace("_", "-")
    match = _TAG.fullmatch(text) if len(text) <= _LONGEST else None
    if match is None:
        raise ValidationError(f"“{text[:40]}” is not a language tag. Write it as in en-GB, cy or zh-Hant.")
    language, script, region = (match[name] or "" for name in ("language", "script", "region"))
    if len(language) == 2 and language.lower() not in _TWO_LETTERS:
        raise ValidationError(f"“{text}” begins with {language.lower()}, which is not the code of a language.")
    if region.upper() == "UK":
        raise ValidationError(f"“{text}”: the code of the United Kingdom is GB. Write {language.lower()}-GB.")
    parts = [language.lower(), script.title(), region.upper(), match["variants"].strip("-").lower()]
    return "-".join(part for part in parts if part)


def read_tags(texts: Iterable[str]) -> list[str]:
    """The tags in their order, each once. Raises ValidationError with one sentence for each that cannot be read."""
    tags: list[str] = []
    wrong: list[ValidationError] = []
    for text in texts:
        try:
            tag = read_tag(text)
        except ValidationError as refusal:
            wrong.append(refusal)
        else:
            tags += [] if tag in tags else [tag]
    if wrong:
        raise ValidationError(wrong)
    return tags


def name_of(tag: str) -> str:
    """The language's English name where it is known, else the tag."""
    return NAMES.get(tag, tag)
