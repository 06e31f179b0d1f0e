"""Who works with the fruit, and what each role may do."""

from collections.abc import Collection
from dataclasses import dataclass
from enum import StrEnum


class Role(StrEnum):
    """A part somebody plays in the shed; one person can have several."""

    MANAGER = "manager"
    SUPERVISOR = "supervisor"
    GRADER = "grader"
    MARKETER = "marketer"
    GROWER = "grower"

    @property
    def words(self) -> str:
        """The role as people say it."""
        return {"manager": "shed manager", "supervisor": "line supervisor"}.get(self.value, self.value)


class Deed(StrEnum):
    """Something a person does that not everybody may do."""

    SEE_SHED = "see the whole shed's fruit"
    KEEP_GROWERS = "keep growers and blocks"
    RECEIVE = "receive fruit"
    GRADE = "grade fruit"
    RUN_LINE = "run the packing line"
    SEE_MARKETS = "see markets and prices"
    KEEP_MARKETS = "keep markets, trays and prices"
    READ_DRAFTS = "read specs that are still being written; those that are published stand under Specs"
    KEEP_SPECS = "write, publish and retire specs"
    QUOTE = "quote to buyers"
    KEEP_PEOPLE = "keep people and tablets"
    KEEP_SETTINGS = "keep the shed's settings"


_SHED = frozenset({Role.MANAGER, Role.SUPERVISOR, Role.GRADER, Role.MARKETER})
WHO_MAY: dict[Deed, frozenset[Role]] = {
    Deed.SEE_SHED: _SHED,
    Deed.KEEP_GROWERS: frozenset({Role.MANAGER}),
    Deed.RECEIVE: frozenset({Role.MANAGER, Role.SUPERVISOR}),
    Deed.GRADE: frozenset({Role.MANAGER, Role.SUPERVISOR, Role.GRADER}),
    Deed.RUN_LINE: frozenset({Role.MANAGER, Role.SUPERVISOR}),
    Deed.SEE_MARKETS: frozenset({Role.MANAGER, Role.MARKETER}),
    Deed.KEEP_MARKETS: frozenset({Role.MANAGER}),
    Deed.READ_DRAFTS: _SHED,
    Deed.KEEP_SPECS: frozenset({Role.MANAGER}),
    Deed.QUOTE: frozenset({Role.MANAGER, Role.MARKETER}),
    Deed.KEEP_PEOPLE: frozenset({Role.MANAGER}),
    Deed.KEEP_SETTINGS: frozenset({Role.MANAGER}),
}


THE_SHED = "the shed"


@dataclass(frozen=True, slots=True)
class Doer:
    """Who did something; ``grower_id`` is the grower they speak for, if any.

    It is told by ``told_to`` alone: written straight into a text it is the shed, so that no name slips out.
    """

    name: str
    grower_id: int | None = None

    def told_to(self, reader: "Person") -> str:
        """Who it was, as this reader may know: the name or "the shed"."""
        return self.name if self.known_to(reader) else THE_SHED

    def known_to(self, reader: "Person") -> bool:
        """Whether this reader may know the name. A grower knows their own people; the shed's people, and the program,
        they know only as the shed."""
        own = self.grower_id is not None and self.grower_id == reader.grower_id
        return own or reader.may(Deed.SEE_SHED)

    def __str__(self) -> str:
        """The shed."""
        return THE_SHED


# On a shed tablet their PIN is good for a shift; whose roles open more than the bench and the dock gives it each time.
_BY_A_TAP = frozenset({Role.GRADER, Role.SUPERVISOR})


def tap_is_enough(roles: Collection[Role]) -> bool:
    """Whether on a tablet a tap on the name brings somebody back in who gave the PIN this shift."""
    return bool(roles) and _BY_A_TAP.issuperset(roles)


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody using the shed's records; ``grower_id`` is the grower they speak for, if any."""

    id: int
    name: str
    roles: frozenset[Role]
    grower_id: int | None = None

    def may(self, deed: Deed) -> bool:
        """Whether one of this person's roles allows the deed."""
        return not self.roles.isdisjoint(WHO_MAY[deed])

    @property
    def doer(self) -> Doer:
        """Them as who did something."""
        return Doer(self.name, self.grower_id)

    @property
    def role_words(self) -> str:
        """The roles as people say them, in a fixed order."""
        return ", ".join(role.words for role in Role if role in self.roles)


def ways_in(*, password: bool, pin: bool) -> str:
    """What somebody signs in with: "password and PIN", one of them, or "" for neither."""
    return " and ".join(word for has, word in ((password, "password"), (pin, "PIN")) if has)


def leaving_words(ways: str) -> str:
    """What marking somebody as left does, who signs in with these ``ways_in``."""
    stays = "Whoever has left stays in the books beside what they did."
    if not ways:
        return f"{stays} They could not sign in anyway."
    return f"{stays} They are signed out everywhere at once, and their {ways} {_open(ways)} nothing any more."


def left_words(ways: str) -> str:
    """What marking somebody as back does, who signed in with these ``ways_in``."""
    if not ways:
        return "They had neither a password nor a PIN: give one once they are marked as back, or they cannot sign in."
    return f"Once marked as back, their {ways} {_open(ways)} the records again."


def _open(ways: str) -> str:
    return "open" if " and " in ways else "opens"


def mistakes_about_roles(roles: Collection[Role], grower_id: int | None) -> dict[str, str]:
    """What is wrong with somebody's roles and the grower they are to speak for: a sentence by its field."""
    if not roles:
        return {"roles": "Tick at least one role."}
    if Role.GROWER in roles and grower_id is None:
        return {"grower": "Choose the grower they speak for."}
    if Role.GROWER not in roles and grower_id is not None:
        return {"grower": "Only a grower speaks for one. Tick the role grower, or choose nobody."}
    return {}
