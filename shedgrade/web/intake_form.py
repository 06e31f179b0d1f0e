"""The form that receives fruit: the net is worked out and shown first, and stored only as it was shown."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from sqlmodel import Session

from shedgrade.domain.people import Person
from shedgrade.storage.tables import Docket
from shedgrade.web.answers import Answers
from shedgrade.web.clock import Clock
from shedgrade.web.intake_doubts import Doubt, like_load, odd_doubt
from shedgrade.web.intake_reading import Offered, Received, offered, read_intake, read_number
from shedgrade.web.net_panel import NetPanel, bin_count_words
from shedgrade.web.posted import Posted
from shedgrade.web.weighing_rows import MORE_ROWS, row_count, row_words

INTAKE_FIELDS = (
    *("received", "block", "market", "picked-from", "picked-to", "team", "pulp", "grower-bins"),
    *("rows", "bins-*", "type-*", "gross-*", "labels-*", "part-*", "do", "shown"),
)
_NET_CHANGED = "The net is another one now than the one you were shown. Look at it below, then save again."
_NET_FIRST = "Look at the net below first, then save."


@dataclass(frozen=True, slots=True)
class IntakeFormView:
    """The form for a consignment: with its docket, or on one that is there. ``panel`` is the net, once worked out;
    ``taken`` is the docket that has the number typed. ``notices`` say why saving came back; ``odd``, beside the net,
    that a weighing is marked; ``noticed`` carries what was shown, so that it is asked once."""

    title: str
    action: str
    lists: Offered
    docket: Docket | None = None
    typed: Mapping[str, str] = field(default_factory=dict)
    errors: Mapping[str, str] = field(default_factory=dict)
    panel: NetPanel | None = None
    bin_counts: str = ""
    notices: Sequence[str] = ()
    odd: str = ""
    noticed: str = ""
    taken: Docket | None = None

    @property
    def row_words(self) -> list[str]:
        """What each row of weighings is called."""
        return row_words(self.typed)


class IntakeForm:
    """One posting of the form: which button was pressed, and what that comes to."""

    def __init__(
        self, session: Session, person: Person, posted: Posted, clock: Clock, docket: Docket | None = None
    ) -> None:
        """Take what was posted; ``docket`` is the one the consignment goes on, if it is there already."""
        self.posted, self.docket = posted, docket
        self.typed = dict(posted.fields)
        self.answers = Answers(self.typed)
        self.pressed = self.typed.get("do", "net")
        self.lists = offered(session, person)
        self.taken: Docket | None = None
        self._session, self._person, self._clock = session, person, clock

    @property
    def only_rows(self) -> bool:
        """Whether only more rows were asked for: nothing is read then, and nothing refused."""
        return self.pressed == "rows"

    @property
    def saving(self) -> bool:
        """Whether it was sent to be stored."""
        return self.pressed in {"save", "another"}

    @property
    def status(self) -> int:
        """A net shown because it was asked for is no refusal; one shown instead of saving is."""
        return 422 if self.saving or not self.answers.fine else 200

    def read(self) -> Received | None:
        """What was typed; None if anything was refused, or only more rows were asked for."""
        if self.only_rows:
            self.typed["rows"] = str(row_count(self.typed) + MORE_ROWS)
            return None
        on_docket = self.docket is not None
        if not on_docket:
            self.taken = read_number(self._session, self.answers)
        return read_intake(self._session, self.answers, self.lists, self._clock, on_docket=on_docket)

    def stores(self, received: Received) -> bool:
        """Whether to store now: asked to, the net is the one the person was shown, and so is every doubt."""
        return self.saving and self._saw_net(received) and not self._unseen(self._doubts(received))

    def view(self, title: str, action: str, received: Received | None) -> IntakeFormView:
        """The form again, with everything typed, what is wrong with it, or the net it comes to."""
        typed, errors = self.typed, self.answers.errors
        view = IntakeFormView(title, action, self.lists, self.docket, typed, errors, taken=self.taken)
        if received is None:
            return view
        counts = bin_count_words(received.facts.pick.grower_bins, received.panel.net.bins)
        doubts = self._doubts(received)
        odd = odd_doubt(received.panel)
        return replace(
            view,
            panel=received.panel,
            bin_counts=counts,
            notices=self._notices(received, doubts),
            odd="" if self.saving or odd is None else odd.sentence,
            noticed=" ".join(each.key for each in doubts),
        )

    def _saw_net(self, received: Received) -> bool:
        return self.typed.get("shown", "") == received.panel.shown

    def _doubts(self, received: Received) -> list[Doubt]:
        """What to look at again; whether the load is in the books already is asked when it is to be stored."""
        like = like_load(self._session, self._person, received.facts, self.docket) if self.saving else None
        return [each for each in (like, odd_doubt(received.panel)) if each is not None]

    def _unseen(self, doubts: Sequence[Doubt]) -> list[Doubt]:
        noticed = self.typed.get("noticed", "").split()
        return [each for each in doubts if each.key not in noticed]

    def _notices(self, received: Received, doubts: Sequence[Doubt]) -> list[str]:
        if not self.saving:
            return []
        net = [] if self._saw_net(received) else [_NET_CHANGED if self.typed.get("shown") else _NET_FIRST]
        return [*net, *(each.sentence for each in doubts)]
