"""How counts are said."""


def halves(count: float) -> str:
    """A count that may have a half: 8, or 8½."""
    whole, half = divmod(count, 1)
    return f"{int(whole) or ''}½" if half else str(int(whole))
