"""English sentences of the area *window*."""

SENTENCES: dict[str, str | tuple[str, str]] = {
}
