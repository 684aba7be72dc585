"""Said in the transaction that notes the end of a piece of work: its room can follow, whoever ended it.

It may be said more than once of one row, as work may be done more than once.
"""

from django.dispatch import Signal

# Argument: work, done or failed.
ended = Signal()
