"""What the list shows of specimens that are not on the bench; it runs on the worker."""

from __future__ import annotations

from landmarks.summaries import AT_ONCE, is_stale, renew_summaries, summary_of

__all__ = ["AT_ONCE", "is_stale", "renew_summaries", "summary_of"]
