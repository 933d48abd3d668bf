"""Names as they stand inside a phrase."""


def inside(name: str) -> str:
    """Return a name as it stands inside a phrase; what is written in capitals stays so.

    >>> inside("Inhalant margin"), inside("CITES")
    ('inhalant margin', 'CITES')
    """
    return name if name[1:2].isupper() else name[:1].lower() + name[1:]
