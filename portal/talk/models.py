"""Talk: comments on the brief and on its pictures."""

from django.db import models

from portal import access
from portal.access import Audience
from portal.brief.models import Campaign
from portal.keys import Keyed
from portal.people.models import Member
from portal.rows import RowQuerySet

_READ_BY = {
    Audience.EVERYONE: "read by everyone",
    Audience.WORKING: "read by agency and crew alone",
    Audience.BUYING: "read by client and agency alone",
}


class CommentQuerySet(RowQuerySet["Comment"]):
    def visible_to(self, member: Member) -> "CommentQuerySet":
        """The comments of the member's campaign that the member may read.

        The one filter for pages, counts, fragments, mail and lists: nothing else decides who reads a comment.
        """
        return self.filter(campaign_id=member.campaign_id, audience__in=access.audiences(member))

    def threads(self) -> "CommentQuerySet":
        """Those that begin a thread."""
        return self.filter(answers=None)


class Comment(Keyed):
    """A remark on a thing of the brief; its audience is fixed when it is written, and an answer keeps it."""

    campaign = models.ForeignKey(Campaign, models.CASCADE, related_name="comments")
    author = models.ForeignKey(Member, models.PROTECT, related_name="+")
    audience = models.CharField(max_length=10, choices=Audience.choices)
    # What it is about: "shot/<key>", "placement/<key>", "campaign/<key>".
    subject = models.CharField(max_length=40)
    # A point of the picture it is about, in fractions of its width and height from the upper left corner.
    pin_x = models.FloatField(null=True, blank=True)
    pin_y = models.FloatField(null=True, blank=True)
    text = models.TextField(max_length=4000)
    answers = models.ForeignKey("self", models.CASCADE, null=True, blank=True, related_name="replies")
    written_at = models.DateTimeField(auto_now_add=True)
    resolved_at = models.DateTimeField(null=True, blank=True)
    resolved_by = models.ForeignKey(Member, models.PROTECT, null=True, blank=True, related_name="+")

    objects = CommentQuerySet.as_manager()  # type: ignore[misc]  # the plugin takes the base's for a class variable

    class Meta:
        ordering = ["written_at", "pk"]
        indexes = [models.Index(fields=["campaign", "subject"], name="comment_subject")]

    @property
    def anchor(self) -> str:
        """Its id on a page."""
        return f"comment-{self.key}"

    @property
    def read_by(self) -> str:
        """Who reads it, as it stands behind the time."""
        return _READ_BY[Audience(self.audience)]

    def __str__(self) -> str:
        return f"{self.author}: {self.text[:40]}"
