"""English sentences of the core: pictures, scales, landmarks, measures, records."""

SENTENCES: dict[str, str | tuple[str, str]] = {
    "list.and": "{head} and {last}",
    "plain": "{words}",
}
