"""Use cases: a lift in, an assessment out."""

from plumbhook.planning.assess import assess
from plumbhook.planning.assessment import Assessment

__all__ = ["Assessment", "assess"]
