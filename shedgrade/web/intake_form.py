"""The form that receives fruit: the net is worked out and shown first, and stored only as it was shown."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from sqlmodel import Session

from shedgrade.domain.people import Person
from shedgrade.storage.tables import Docket
from shedgrade.web.answers import Answers
from shedgrade.web.clock import Clock
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
    ``taken`` is the docket that has the number typed."""

    title: str
    action: str
    lists: Offered
    docket: Docket | None = None
    typed: Mapping[str, str] = field(default_factory=dict)
    errors: Mapping[str, str] = field(default_factory=dict)
    panel: NetPanel | None = None
    bin_counts: str = ""
    notice: str = ""
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
        self._session, self._clock = session, clock

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
        """Whether to store now: asked to, and the net is the one the person was shown."""
        return self.saving and self.typed.get("shown", "") == received.panel.shown

    def view(self, title: str, action: str, received: Received | None) -> IntakeFormView:
        """The form again, with everything typed, what is wrong with it, or the net it comes to."""
        typed, errors = self.typed, self.answers.errors
        view = IntakeFormView(title, action, self.lists, self.docket, typed, errors, taken=self.taken)
        if received is None:
            return view
        counts = bin_count_words(received.facts.grower_bins, received.panel.net.bins)
        return replace(view, panel=received.panel, bin_counts=counts, notice=self._notice())

    def _notice(self) -> str:
        if not self.saving:
            return ""
        return _NET_CHANGED if self.typed.get("shown") else _NET_FIRST
