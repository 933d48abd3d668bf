"""English sentences of the area *commands*."""

SENTENCES: dict[str, str | tuple[str, str]] = {
}
