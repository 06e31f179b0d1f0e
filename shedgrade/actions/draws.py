"""Going from bin to bin, or tray to tray, while a sample is taken."""

from sqlalchemy import func, update
from sqlmodel import Session, col, insert, select

from shedgrade.domain.sampling.question import Question
from shedgrade.storage.bench import BenchSample, OpenDraw, SampleBin, bins_of_sample, holds_fruit
from shedgrade.storage.missing import MissingError
from shedgrade.storage.tables import Draw


class NoBinLeftError(Exception):
    """Every bin of the consignment is drawn already; ``only`` is the one that has no fruit yet, where the bench is."""

    def __init__(self, only: OpenDraw | None = None) -> None:
        """Give it, if there is one."""
        super().__init__(only)
        self.only = only


def next_draw(session: Session, sample: BenchSample) -> OpenDraw:
    """Go on to the next draw: of intake the next bin without fruit, round again past the last; NoBinLeftError.

    A draw without a fruit is no record yet: it moves on itself, or stays where there are no bins to go to.
    """
    question = Question(sample.question)
    bins = bins_of_sample(session, sample.id) if question is Question.INTAKE else []
    if bins:
        return _go(session, sample, _following(bins, sample.draw, _empty(session, sample)))
    return _empty(session, sample) or _opened(session, sample, None, question.draw_word)


def go_to_bin(session: Session, sample: BenchSample, bin_id: int) -> OpenDraw:
    """Go to this bin, back to its draw if there is one; MissingError if the consignment has no such bin."""
    target = next((each for each in bins_of_sample(session, sample.id) if each.id == bin_id), None)
    if target is None:
        raise MissingError
    return _go(session, sample, target)


def _following(bins: list[SampleBin], here: OpenDraw | None, empty: OpenDraw | None) -> SampleBin:
    at = here.bin_number if here else 0
    left = [each for each in bins if not each.fruit and each.number != at]
    if not left:
        raise NoBinLeftError(empty)
    return next((each for each in left if each.number > at), left[0])


def _empty(session: Session, sample: BenchSample) -> OpenDraw | None:
    """The draw gone to last, while it has no fruit."""
    return None if sample.draw is None or holds_fruit(session, sample.draw.id) else sample.draw


def _go(session: Session, sample: BenchSample, target: SampleBin) -> OpenDraw:
    if target.draw_id is not None:
        return _changed(session, target, target.draw_id, turn=_highest(session, sample, "turn") + 1)
    if empty := _empty(session, sample):
        return _changed(session, target, empty.id, bin_id=target.id, label=target.name)
    return _opened(session, sample, target, target.name)


def _changed(session: Session, target: SampleBin, draw_id: int, **values: int | str) -> OpenDraw:
    session.execute(update(Draw).where(col(Draw.id) == draw_id).values(**values))
    return OpenDraw(draw_id, target.name, target.id, target.number)


def _opened(session: Session, sample: BenchSample, target: SampleBin | None, name: str) -> OpenDraw:
    """A new draw; one that is no bin is called by its number."""
    number = _highest(session, sample, "number") + 1
    label = name if target else f"{name} {number}"
    values = {
        "sample_id": sample.id,
        "number": number,
        "turn": _highest(session, sample, "turn") + 1,
        "bin_id": target.id if target else None,
        "label": label,
    }
    draw_id = session.execute(insert(Draw).values(values).returning(col(Draw.id))).scalar_one()
    return OpenDraw(draw_id, label, target.id if target else None, target.number if target else 0)


def _highest(session: Session, sample: BenchSample, column: str) -> int:
    """The highest number or turn given so far."""
    return session.exec(select(func.max(getattr(Draw, column))).where(Draw.sample_id == sample.id)).one() or 0
