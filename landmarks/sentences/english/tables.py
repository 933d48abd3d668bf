"""English sentences of the area *tables*."""

SENTENCES: dict[str, str | tuple[str, str]] = {
}
