"""English sentences of what leaves the program."""

SENTENCES: dict[str, str | tuple[str, str]] = {
    "output.is_original": "“{file}” is the picture itself, which is never written to: choose another name.",
    "output.cannot_write": "“{file}” cannot be written ({reason}): choose another folder.",
}
