"""English sentences of the area *storage*."""

SENTENCES: dict[str, str | tuple[str, str]] = {
}
