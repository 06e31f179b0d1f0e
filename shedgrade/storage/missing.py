"""What a loader says when there is nothing there for this person."""


class MissingError(LookupError):
    """No such record, or none that this person may see: the two look the same from outside."""
