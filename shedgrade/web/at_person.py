"""A form sent to one person's page: whose it is, who sent it, and how it is answered."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated

from fastapi import Depends, Request
from fastapi.responses import Response
from sqlmodel import Session

from shedgrade.actions.people import Giver, PersonError
from shedgrade.domain.people import Person
from shedgrade.storage import people
from shedgrade.storage.people import PersonWhole
from shedgrade.storage.stale import StaleError
from shedgrade.web.answers import Answers
from shedgrade.web.ids import RowId
from shedgrade.web.once import FormSession, done
from shedgrade.web.pages import page
from shedgrade.web.person_form import ask_again
from shedgrade.web.person_view import person_view, refused_view, said
from shedgrade.web.posted import Posted
from shedgrade.web.state import CurrentPosted, CurrentShed, Shed
from shedgrade.web.stored_now import stored_now
from shedgrade.web.whoami import PeopleKeeper


@dataclass(frozen=True, slots=True)
class PersonForm:
    """A form about ``whole``, sent by ``keeper``."""

    request: Request
    session: Session
    shed: Shed
    keeper: Person
    posted: Posted
    whole: PersonWhole

    @property
    def giver(self) -> Giver:
        """The keeper as an action knows them: their own sign-in outlasts what they do."""
        return Giver(self.keeper.id, self.request.state.signed_in.id, self.shed.clock.real_now())

    def attempt(
        self, answers: Answers, deed: Callable[[], None], done_word: str, location: str = "", on: str = "page"
    ) -> Response:
        """Do it and say so (``done_words.DONE``) at ``location``, the person's own page if left out; or say why not."""
        try:
            deed()
        except PersonError as mistake:
            answers.refuse(mistake.field, str(mistake))
            return self.refused(answers, on=on)
        except StaleError:
            return self.refused(answers, on=on, stale=True)
        answer = f"{location or f'/people/{self.whole.person.id}'}?done={done_word}"
        return done(self.request, self.session, self.keeper, self.posted, answer)

    def refused(self, answers: Answers, *, on: str = "page", stale: bool = False) -> Response:
        """The page it was sent from again (``people/<on>.html``): what was typed, what is wrong, or what somebody else
        saved meanwhile."""
        ask_again(answers)
        stored = self._stored_now() if stale else ""
        view = refused_view(person_view(self.session, self.shed.clock, self.keeper, self.whole), answers, stored)
        return page(self.request, f"people/{on}.html", view, status=409 if stale else 422)

    def _stored_now(self) -> str:
        return stored_now(self.request, self.session, "person", self.whole.person.id, said(self.whole))


def at_person(
    request: Request,
    keeper: PeopleKeeper,
    session: FormSession,
    shed: CurrentShed,
    posted: CurrentPosted,
    person_id: RowId,
) -> PersonForm:
    """The form, its person found and held until it is carried out."""
    return PersonForm(request, session, shed, keeper, posted, people.person_whole(session, person_id, to_change=True))


AtPerson = Annotated[PersonForm, Depends(at_person)]
