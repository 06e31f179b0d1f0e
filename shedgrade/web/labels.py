"""What the fields of a page are called, for the list of mistakes that stands above them."""


class Labels:
    """Each field tells its label when it is drawn. Mistakes are listed above the fields, so a page that lists some is
    drawn twice: the second time its fields are known, and a mistake is told by the very words beside its field."""

    def __init__(self) -> None:
        """Nothing is known yet."""
        self._told: dict[str, str] = {}
        self.asked_early = False

    def told(self, name: str, label: str, of: str = "") -> str:
        """Take a field's label, and give it to be shown; ``of`` is its group, where several have such a field."""
        self._told[name] = f"{of}, {label}" if of else label
        return label

    def of(self, name: str) -> str:
        """A field's label; "" for what has none, such as a whole table."""
        self.asked_early = self.asked_early or name not in self._told
        return self._told.get(name, "")
