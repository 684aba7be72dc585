"""Said within the transaction of an act, so that others can follow the log: it does not know who listens."""

from django.dispatch import Signal

# An entry was appended. Argument: entry.
appended = Signal()
