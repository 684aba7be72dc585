"""The brief: campaigns and the versions put forward from them."""

from typing import ClassVar

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from portal.keys import Keyed
from portal.people.models import Member, new_salt


class Campaign(Keyed):
    """One campaign, its terms, and where its brief stands."""

    title = models.CharField(max_length=120)
    code = models.CharField(max_length=12, unique=True, help_text="Short code that people say aloud, such as OAT-27.")
    client = models.CharField("client", max_length=120)
    agency = models.CharField("agency", max_length=120, blank=True)
    about = models.TextField("what the pictures are for", blank=True)
    invented = models.BooleanField(default=False, help_text="A demo: all in it is invented, and pages say so.")
    # BCP 47 tags in the order in which they are ordered: ["en-GB", "cy"]
    languages = models.JSONField(default=list)
    media = models.CharField("media", max_length=200, blank=True)
    territory = models.CharField("territory", max_length=200, blank=True)
    period = models.CharField("period of use", max_length=200, blank=True)
    rounds_included = models.PositiveSmallIntegerField("rounds of amends included", default=2)
    # In the words of whoever bills it, currency too; seen by who may see the estimate.
    round_price = models.CharField("price of a further round", max_length=120, blank=True)
    sign_in_order = models.BooleanField("the agency signs before the client", default=False)
    # Limits agreed for every placement: WCAG's contrast ratio, and per cent of the hero zone. The first values are what
    # large type needs (WCAG 2.2, 1.4.3), and what soft edges cover of a hero that is left clear.
    least_contrast = models.FloatField(
        "least contrast of type", default=3.0, validators=[MinValueValidator(1), MaxValueValidator(21)]
    )
    hero_overlap = models.PositiveSmallIntegerField(
        "most of the hero that may be covered", default=2, validators=[MaxValueValidator(100)]
    )
    started_at = models.DateTimeField(auto_now_add=True)

    # What readiness last found, so that a list of campaigns costs one query; see brief/standing.py.
    standing = models.JSONField(default=dict)
    # When that was; None says that something has changed since.
    standing_at = models.DateTimeField(null=True, blank=True)
    # The log's head: kept here so that an entry is appended under this row's lock alone.
    log_length = models.PositiveIntegerField(default=0)
    log_head = models.CharField(max_length=64, default="0" * 64)

    # Goes into the digest of every row, and stays out of the log: see portal/record/rows.py. Empty until the next entry
    # in a campaign from before rows had digests.
    row_salt = models.CharField(max_length=32, default=new_salt, editable=False)

    untold: ClassVar = {
        "standing": "computed by readiness whenever it is asked",
        "standing_at": "computed with it",
        "log_length": "proven by the log's chain",
        "log_head": "proven by the log's chain",
        "row_salt": "every digest of a row fails with another one",
    }
    open_version = models.ForeignKey("portal.Version", models.PROTECT, null=True, blank=True, related_name="+")
    locked_version = models.ForeignKey("portal.Version", models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["-started_at"]

    def __str__(self) -> str:
        return self.title


class Version(Keyed):
    """The brief as put forward: a canonical document, never altered."""

    campaign = models.ForeignKey(Campaign, models.CASCADE, related_name="versions")
    number = models.PositiveIntegerField()
    document = models.TextField(help_text="Canonical JSON, RFC 8785.")
    sections = models.JSONField(help_text="Section to SHA-256 of its canonical JSON.")
    digest = models.CharField(max_length=64, help_text="SHA-256 of the canonical map from section to digest.")
    # Keys of the members whose sign-off is required, in the order of the campaign.
    signers = models.JSONField(default=list)
    note = models.TextField(blank=True)
    put_forward_by = models.ForeignKey(Member, models.PROTECT, related_name="+")
    put_forward_at = models.DateTimeField()

    untold: ClassVar = {"document": "proven by the digest, which is told"}

    class Meta:
        ordering = ["number"]
        constraints = [models.UniqueConstraint(fields=["campaign", "number"], name="one_version_a_number")]

    def __str__(self) -> str:
        return f"version {self.number}"


class Look(models.Model):
    """The brief as one member last looked at it, so that they are told what has changed since."""

    member = models.OneToOneField(Member, models.CASCADE, related_name="look")
    at = models.DateTimeField()
    # None for the draft.
    number = models.PositiveIntegerField(null=True, blank=True)
    digest = models.CharField(max_length=64)
    # Section to digest, and what the member could read: canonical JSON, compressed (RFC 1950). A draft is kept nowhere
    # else, and 60 shots in 12 formats are some 50 kB.
    sections = models.JSONField()
    document = models.BinaryField()
    # Length of the campaign's log at that time.
    log_length = models.PositiveIntegerField()

    def __str__(self) -> str:
        return f"{self.member}, {self.digest[:8]}"
