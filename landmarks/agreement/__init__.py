"""How far two readings agree: the one home of these statistics.

Numbers: error of measurement and limits of agreement, intraclass correlation, drift over time.
Scores: the kappas of Cohen and of Fleiss, Krippendorff's alpha with gaps. Shares: Wilson's
interval. What the data cannot tell is an :class:`Untold` with its reason, never a number.
"""

from landmarks.agreement.alpha import METRICS, alpha
from landmarks.agreement.intraclass import Interval, Intraclass, intraclass
from landmarks.agreement.kappas import Kappa, cohen, cohen_of, fleiss
from landmarks.agreement.readings import (
    Drift,
    Limits,
    Repeatability,
    drift,
    limits,
    repeatability,
)
from landmarks.agreement.untold import Untold
from landmarks.shares import wilson

__all__ = [
    "METRICS",
    "Drift",
    "Interval",
    "Intraclass",
    "Kappa",
    "Limits",
    "Repeatability",
    "Untold",
    "alpha",
    "cohen",
    "cohen_of",
    "drift",
    "fleiss",
    "intraclass",
    "limits",
    "repeatability",
    "wilson",
]
