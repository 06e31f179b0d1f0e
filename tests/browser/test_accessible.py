"""Every page of the season can be read and used by everybody: by ear, by keyboard, enlarged, on a telephone."""

import pytest

from tests.support.every_page import EVERY_VISIT, Visit, routes_left_out
from tests.support.walk import Walk

# Opened once by one worker, and looked at by all of these.
pytestmark = pytest.mark.xdist_group("walk")

every_page = pytest.mark.parametrize("visit", EVERY_VISIT, ids=str)


def test_no_page_is_left_out() -> None:
    assert routes_left_out() == set()


@every_page
def test_breaks_no_rule_lying(walk: Walk, visit: Visit) -> None:
    assert walk.seen(visit).breaks_lying == []


@every_page
def test_breaks_no_rule_standing(walk: Walk, visit: Visit) -> None:
    assert walk.seen(visit).breaks_standing == []


@every_page
def test_shows_where_the_keyboard_is(walk: Walk, visit: Visit) -> None:
    assert walk.seen(visit).unseen_focus == []


@every_page
def test_never_scrolls_sideways(walk: Walk, visit: Visit) -> None:
    assert walk.seen(visit).sideways == []
