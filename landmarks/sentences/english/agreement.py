"""English sentences of the area *agreement*: repeats, second observers, doubt of placing."""

SENTENCES: dict[str, str | tuple[str, str]] = {
    "agreement.too_few": "Too few to tell: {n} where it takes {least} at least.",
    "agreement.all_alike": "All are alike, so agreement beyond chance cannot be told.",
}
