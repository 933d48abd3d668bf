"""English sentences of the right side of the window."""

SENTENCES: dict[str, str | tuple[str, str]] = {}
