"""Every page of the season can be read and used by everybody: by ear, by keyboard, enlarged, on a telephone. None asks
anybody but the shed's own computer, none breaks its content policy, none has a script that fails.

Each is opened once, and looked at by all of these; so they stand in one file.
"""

import pytest

from tests.support.every_page import EVERY_VISIT, REFUSALS, Visit, routes_left_out
from tests.support.walk import Walk

every_page = pytest.mark.parametrize("visit", EVERY_VISIT, ids=str)


def test_no_page_is_left_out() -> None:
    assert routes_left_out() == set()


@every_page
def test_breaks_no_rule_lying(walk: Walk, visit: Visit) -> None:
    assert walk.seen(visit).breaks_lying == []


@every_page
def test_breaks_no_rule_standing(walk: Walk, visit: Visit) -> None:
    assert walk.seen(visit).breaks_standing == []


@pytest.mark.long
@every_page
def test_breaks_no_rule_enlarged(walk: Walk, visit: Visit) -> None:
    assert walk.breaks_enlarged(visit) == {}


@every_page
def test_shows_where_the_keyboard_is(walk: Walk, visit: Visit) -> None:
    assert walk.seen(visit).unseen_focus == []


@every_page
def test_never_scrolls_sideways(walk: Walk, visit: Visit) -> None:
    assert walk.seen(visit).sideways == []


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
