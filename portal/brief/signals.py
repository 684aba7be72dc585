"""Said within the transaction of an act, so that rooms above can follow: the portal does not know who listens."""

from django.dispatch import Signal

# The campaign's grid may have changed: a shot or a language came or went. Argument: campaign.
shape_changed = Signal()
