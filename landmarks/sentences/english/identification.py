"""English sentences of the area *identification*."""

SENTENCES: dict[str, str | tuple[str, str]] = {
}
