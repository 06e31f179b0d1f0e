"""The shed's clock: what time it is, and how stored moments are told in the shed's own time."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta, tzinfo


@dataclass(frozen=True, slots=True)
class Clock:
    """Tells the time in the shed; the demo season runs it ``shift`` away from the real one."""

    zone: tzinfo = UTC
    shift: timedelta = timedelta(0)

    def now(self) -> datetime:
        """This moment, aware, in UTC."""
        return datetime.now(UTC) + self.shift

    def real_now(self) -> datetime:
        """The real moment, which sign-ins go by, whatever day the demo season is at."""
        return datetime.now(UTC)

    def today(self) -> date:
        """The day it is in the shed."""
        return self.local(self.now()).date()

    def local(self, moment: datetime) -> datetime:
        """A stored moment in the shed's own time."""
        return moment.astimezone(self.zone)

    def stored(self, wall: datetime) -> datetime:
        """What was typed as the shed's wall-clock time, as an aware moment."""
        return wall.replace(tzinfo=self.zone)
