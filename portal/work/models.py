"""Work owed to the worker: the row is the truth, a message only says "look"."""

from django.db import models


class Work(models.Model):
    """One piece of work, named by the digest of its inputs and its recipe's version: never done twice."""

    class State(models.TextChoices):
        OWED = "owed", "waiting"
        WORKING = "working", "being worked on"
        DONE = "done", "done"
        FAILED = "failed", "failed"

    kind = models.CharField(max_length=40)
    key = models.CharField(max_length=64, unique=True)
    inputs = models.JSONField()
    state = models.CharField(max_length=8, choices=State.choices, default=State.OWED)
    # What became of it: facts when done; a sentence for a person when failed.
    result = models.JSONField(default=dict)
    says = models.TextField(blank=True)
    tries = models.PositiveSmallIntegerField(default=0)
    claimed_by = models.CharField(max_length=120, blank=True)
    lease_until = models.DateTimeField(null=True, blank=True)
    owed_at = models.DateTimeField(auto_now_add=True)
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        indexes = [models.Index(fields=["state", "lease_until"], name="work_state")]

    def __str__(self) -> str:
        return f"{self.kind} {self.key[:8]} {self.state}"

    @property
    def open(self) -> bool:
        return self.state in (self.State.OWED, self.State.WORKING)
