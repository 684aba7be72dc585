"""What readiness finds in what was measured of previews: type that is hard to read, type that lies on the hero.

Past the limits that are agreed in the campaign's terms it must be fixed; else it is worth a look.
"""

from collections.abc import Iterable, Mapping

from layouts.previews import verdict_words, verdicts
from layouts.previews.queries import Made, Seen
from portal import access
from portal.access import May
from portal.brief.finding import Finding
from portal.models import Campaign, Work
from portal.people.languages import name_of
from portal.site.addresses import of_each
from portal.site.sentences import joined

# Words for the sentence that counts findings, as in Section.kinds.
KINDS = {
    "type-hard": ("placement", "is hard to read", "are hard to read"),
    "type-on-hero": ("placement", "has type on the hero", "have type on the hero"),
    "type-below-limit": ("placement", "has less contrast than agreed", "have less contrast than agreed"),
    "hero-past-limit": ("placement", "covers more of the hero than agreed", "cover more of the hero than agreed"),
}
# Type is moved in the layout; the crop and the hero zone are moved on the mockup.
_TYPE = tuple(access.roles_that_may(May.UPLOAD_LAYOUTS))
_HERO = tuple(dict.fromkeys([*_TYPE, *access.roles_that_may(May.EDIT_SHOTS)]))


def legibility(campaign: Campaign, rows: Iterable[Seen], made: Mapping[int, Made]) -> list[Finding]:
    """Findings of the wanted placements `rows`, from what was made of each; asks the database nothing."""
    stage = of_each("layouts:stage", campaign.key)
    several = len(campaign.languages) > 1
    found = []
    for row in rows:
        preview = made.get(row.placement.pk)
        if preview is None or preview.state != Work.State.DONE or not preview.measured:
            continue
        verdict = verdicts.judge(preview.measured, row.placement.format, row.hero[0] if row.hero else None)
        if not verdict.well and not verdict.hides:  # that it hides the picture, its inspection says already
            name = str(row.placement.format)
            where = f"{name}, {name_of(row.placement.language)}" if several else name
            found += _of(verdict, row.placement.shot.number, where, stage(row.placement.key))
    return found


def _of(verdict: verdicts.Verdict, number: int, where: str, url: str) -> list[Finding]:
    what, here = f"{where}, shot {number}", f"Shot {number} in {where}"
    found = []
    if verdict.below:
        says = f"{here}: {_lowered(verdict_words.below_says(verdict))}"
        wants = "less contrast than agreed"
        found.append(Finding("must-fix", says, what, wants, _TYPE, url, "type-below-limit", shot=number))
    elif verdict.hard or verdict.places:
        says = f"{here}: {joined(verdict_words.hard_parts(verdict))}."
        wants = "hard to read" if verdict.hard else "hard to read in places"
        found.append(Finding("worth-a-look", says, what, wants, _TYPE, url, "type-hard"))
    if (verdict.past_hero or verdict.on_hero) and verdict.overlap is not None:
        share = f"{verdict_words.per_cent(verdict.overlap)}\u202f%"
        says = f"{here}: {_lowered(verdict_words.hero_says(verdict))}"
        level, kind = ("must-fix", "hero-past-limit") if verdict.past_hero else ("worth-a-look", "type-on-hero")
        found.append(Finding(level, says, what, f"type on the hero {share}", _HERO, url, kind, shot=number))
    return found


def _lowered(text: str) -> str:
    """A sentence as it goes on after a colon."""
    return text[:1].lower() + text[1:]
