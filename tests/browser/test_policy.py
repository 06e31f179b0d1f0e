"""No page asks anybody but the shed's own computer, none breaks its content policy, none has a script that fails."""

import pytest

from tests.support.every_page import EVERY_VISIT, REFUSALS, Visit
from tests.support.walk import Walk

# Opened once by one worker, and looked at by all of these.
pytestmark = pytest.mark.xdist_group("walk")

every_page = pytest.mark.parametrize("visit", EVERY_VISIT, ids=str)


@every_page
def test_asks_only_the_shed(walk: Walk, visit: Visit) -> None:
    assert walk.seen(visit).strangers == []


@every_page
def test_the_browser_has_nothing_to_complain_of(walk: Walk, visit: Visit) -> None:
    seen = walk.seen(visit)
    if visit in REFUSALS:
        # A page that says no has a status that the browser tells of as a failed load; nothing else may be told.
        assert seen.status in {403, 404}
        assert [each for each in seen.complaints if "Failed to load resource" not in each] == []
    else:
        assert seen.status == 200
        assert seen.complaints == []
