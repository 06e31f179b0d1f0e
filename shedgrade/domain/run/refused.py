"""What is said of an entry that cannot be."""


class RefusedError(ValueError):
    """The entry does not fit what happened in the run so far; the text is a sentence for the page."""
