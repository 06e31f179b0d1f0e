"""What each role gets at every route: read it as the shed's rules about who may see and do what.

A cell says the answer for an own record / another grower's / one that is not there; two answers where the first two are
the same record or the same answer; one where nothing is asked for or all are the same. What stands for an answer:

    200  the page            303  done, and sent on       422  let in, and told what the empty form lacks
    403  not their job       404  not there for them      409  let in, and told the form is out of date
    204  done, and nothing to show                        in   asked to sign in first

Here the tablets are others': who asks does so in a browser of their own, in a shed that is set up and no demo. There
signing in by PIN, by a tap or by picking is not there, nor is setting up.

Words in braces in an address are ids. What follows a "?" goes along, in the address of a GET, in the form of a POST:
"?market&replacing=tray" are the market's id under its own name and a tray's under another.
"a grader who grows" is somebody with two roles, a grader who is a grower as well.
"""
# ruff: noqa: E501 - a table keeps to its columns

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from shedgrade.domain.people import Role
from tests.walk.records import MISSING, OTHER, OWN
from tests.walk.routes import Route

# The columns, and the roles of who stands in them; nobody has none.
WHO: dict[str, tuple[Role, ...]] = {
    "manager": (Role.MANAGER,),
    "supervisor": (Role.SUPERVISOR,),
    "grader": (Role.GRADER,),
    "marketer": (Role.MARKETER,),
    "grower": (Role.GROWER,),
    "a grader who grows": (Role.GRADER, Role.GROWER),
    "nobody": (),
}

#                                                   manager superv. grader  market. grower      both    nobody
TABLE = """
GET  /                                              303     303     303     303     303         303     in

GET  /sign-in                                       200     200     200     200     200         200     200
POST /sign-in                                       422     422     422     422     422         422     422
POST /sign-in/pin                                   404     404     404     404     404         404     404
POST /sign-in/tapped                                404     404     404     404     404         404     404
POST /sign-in/picked                                404     404     404     404     404         404     404
POST /sign-out                                      in      in      in      in      in          in      in
POST /locking                                       in      in      in      in      in          in      in
POST /touched                                       204     204     204     204     204         204     in
POST /half-typed                                    204     204     204     204     204         204     in
GET  /set-up                                        404     404     404     404     404         404     404
POST /set-up                                        404     404     404     404     404         404     404

GET  /authority                                     404     404     404     404     404         404     404
GET  /authority.crt                                 404     404     404     404     404         404     404

GET  /me                                            200     200     200     200     200         200     in
POST /me/password                                   422     422     422     422     422         422     in
POST /me/pin                                        422     422     422     422     422         422     in
GET  /devices                                       200     200     200     200     200         200     in
POST /devices/{sign_in_id}/ending                   303/404 303/404/404 303/404/404 303/404/404 303/404/404 303/404/404 in
POST /tablets                                       422     403     403     403     403         403     in
POST /tablets/{tablet_id}/ending                    303/404 403     403     403     403         403     in

GET  /scales                                        200     200     200     403     403         200     in
POST /scales/codes                                  303     303     303     403     403         303     in
GET  /scales/here                                   204     204     204     403     403         204     in
POST /scales/readings/{reading_id}/ending           404     404     404     403     403         404     in
POST /scales/{scale_id}/ending                      303/404 404     404     404     404         404     in
POST /scales/pairings                               422     422     422     422     422         422     422
POST /scales/readings                               404     404     404     404     404         404     404

GET  /growers                                       200     200     200     200     403         200     in
GET  /growers/new                                   200     403     403     403     403         403     in
POST /growers                                       422     403     403     403     403         403     in
GET  /growers/{grower_id}                           200/404 403     403     403     403         403     in
POST /growers/{grower_id}                           422/404 403     403     403     403         403     in
GET  /growers/{grower_id}/history                   200/404 200/404 200/404 200/404 200/404/404 200/404 in

GET  /blocks                                        200     200     200     200     200         200     in
GET  /blocks/new                                    404     403     403     403     403         403     in
GET  /blocks/new?grower                             200/404 403     403     403     403         403     in
POST /blocks                                        404     403     403     403     403         403     in
POST /blocks?grower                                 422/404 403     403     403     403         403     in
GET  /blocks/{block_id}                             200/404 200/404 200/404 200/404 200/404/404 200/404 in
POST /blocks/{block_id}                             422/404 403     403     403     403         403     in
GET  /blocks/{block_id}/edit                        200/404 403     403     403     403         403     in
GET  /blocks/{block_id}/history                     200/404 200/404 200/404 200/404 200/404/404 200/404 in

GET  /bins                                          200     200     200     200     403         200     in
GET  /bins/new                                      200     200     403     403     403         403     in
POST /bins                                          422     422     403     403     403         403     in
GET  /bins/{bin_type_id}/tares/new                  200/404 200/404 403     403     403         403     in
POST /bins/{bin_type_id}/tares                      422/404 422/404 403     403     403         403     in
GET  /bins/history                                  200     200     200     200     403         200     in

GET  /dockets/new                                   200     200     403     403     403         403     in
POST /dockets                                       422     422     403     403     403         403     in
GET  /dockets/{docket_id}                           200/404 200/404 200/404 200/404 200/404/404 200/404 in
GET  /dockets/{docket_id}/edit                      200/404 200/404 403     403     403         403     in
POST /dockets/{docket_id}                           422/404 422/404 403     403     403         403     in
GET  /dockets/{docket_id}/consignments/new          200/404 200/404 403     403     403         403     in
POST /dockets/{docket_id}/consignments              422/404 422/404 403     403     403         403     in

GET  /consignments                                  200     200     200     200     403         200     in
GET  /consignments/{consignment_id}                 200/404 200/404 200/404 200/404 200/404/404 200/404 in
GET  /consignments/{consignment_id}/edit            200/404 200/404 403     403     403         403     in
POST /consignments/{consignment_id}                 422/404 422/404 403     403     403         403     in
GET  /consignments/{consignment_id}/receipt         200/404 200/404 200/404 200/404 200/404/404 200/404 in
GET  /consignments/{consignment_id}/empties         200/404 200/404 403     403     403         403     in
POST /consignments/{consignment_id}/empties         422/404 422/404 403     403     403         403     in
POST /consignments/{consignment_id}/voiding         422/404 422/404 403     403     403         403     in
GET  /consignments/{consignment_id}/packout         200/404 200/404 200/404 200/404 200/404/404 200/404 in
GET  /consignments/{consignment_id}/breaks          200/404 200/404 200/404 200/404 403         200/404 in
POST /consignments/{consignment_id}/samples         422/404 422/404 422/404 403     403         422/404 in
GET  /consignments/{consignment_id}/sample-file     200/404 200/404 200/404 403     403         200/404 in
POST /consignments/{consignment_id}/sample-file     422/404 422/404 422/404 403     403         422/404 in
GET  /consignments/{consignment_id}/maturity        200/404 200/404 200/404 200/404 200/404/404 200/404 in
POST /consignments/{consignment_id}/maturity        422/404 422/404 422/404 403     403         422/404 in
GET  /consignments/{consignment_id}/maturity/{test_id} 200/404 200/404 200/404 200/404 200/404/404 200/404 in
POST /consignments/{consignment_id}/maturity/{test_id}/voiding 422/404 422/404 422/404 403     403         422/404 in
GET  /consignments/{consignment_id}/history         200/404 200/404 200/404 200/404 200/404/404 200/404 in

GET  /samples/{sample_id}                           200/404 200/404 200/404 200/404 200/404/404 200/404 in
POST /samples/{sample_id}/draws                     303/404 303/404 303/404 403     403         303/404 in
POST /samples/{sample_id}/bins                      422/404 422/404 422/404 403     403         422/404 in
POST /samples/{sample_id}/voiding                   422/404 422/404 422/404 403     403         422/404 in
GET  /samples/{sample_id}/fruit                     200/404 200/404 200/404 200/404 200/404/404 200/404 in
POST /samples/{sample_id}/fruit                     422/404 422/404 422/404 403     403         422/404 in
GET  /samples/{sample_id}/lot                       200/404 200/404 200/404 200/404 200/404/404 200/404 in
GET  /samples/{sample_id}/rules                     200/404 200/404 200/404 403     403         200/404 in
GET  /samples/{sample_id}/history                   200/404 200/404 200/404 200/404 200/404/404 200/404 in
GET  /samples/{sample_id}/side                      200/404 200/404 200/404 403     403         200/404 in
GET  /fruit-entries                                 200     200     200     403     403         200     in
POST /fruit-entries                                 422     422     422     403     403         422     in
GET  /unsent                                        200     200     200     403     403         200     in
GET  /unsent/file                                   200     200     200     403     403         200     in
POST /unsent/file                                   422     422     422     403     403         422     in
GET  /service-worker.js                             200     200     200     200     200         200     200
GET  /bench-parts                                   200     200     200     200     200         200     200
GET  /fruit/{fruit_id}                              200/404 200/404 200/404 200/404 200/404/404 200/404 in
POST /fruit/{fruit_id}/voiding                      422/404 422/404 422/404 403     403         422/404 in

GET  /consignments/{consignment_id}/quick-looks/new 200/404 200/404 200/404 403     403         200/404 in
POST /consignments/{consignment_id}/quick-looks     422/404 422/404 422/404 403     403         422/404 in
GET  /quick-looks/{look_id}                         200/404 200/404 200/404 200/404 200/404/404 200/404 in
GET  /quick-looks/{look_id}/tapping                 200/404 200/404 200/404 403     403         200/404 in
POST /quick-looks/{look_id}/fruit                   422/404 422/404 422/404 403     403         422/404 in
POST /quick-looks/{look_id}/undoing                 409/404 409/404 409/404 403     403         409/404 in
POST /quick-looks/{look_id}/voiding                 422/404 422/404 422/404 403     403         422/404 in

GET  /consignments/{consignment_id}/photos/new      200/404 200/404 200/404 403     403         200/404 in
POST /consignments/{consignment_id}/photos          422/404 422/404 422/404 403     403         422/404 in
GET  /photos/{photo_id}                             200/404 200/404 200/404 200/404 200/404/404 200/404 in
GET  /photos/{photo_id}/file                        200/404 200/404 200/404 200/404 200/404/404 200/404 in
POST /photos/{photo_id}/voiding                     422/404 422/404 422/404 403     403         422/404 in

GET  /area-card                                     200     200     200     200     403         200     in
GET  /area-card/{paper}                             200/404 200/404 200/404 200/404 403         200/404 in
GET  /screen                                        200     200     200     200     403         200     in

GET  /trays                                         200     403     403     200     403         403     in
GET  /trays/new                                     200     403     403     403     403         403     in
GET  /trays/new?replacing=tray                      200/404 403     403     403     403         403     in
POST /trays                                         422     403     403     403     403         403     in
GET  /trays/history                                 200     403     403     200     403         403     in

GET  /runs                                          200     200     200     200     403     200     in
GET  /runs/new                                      200     200     403     403     403     403     in
GET  /runs/new?consignment                          200/404 200/404 403     403     403     403     in
POST /runs                                          404     404     403     403     403     403     in
POST /runs?consignment                              422/404 422/404 403     403     403     403     in
GET  /runs/{run_id}                                 200/404 200/404 200/404 200/404 403     200/404 in
GET  /runs/{run_id}/weights                         200/404 200/404 200/404 200/404 403         200/404 in
POST /runs/{run_id}/weights                         422/404 422/404 403     403     403         403     in
GET  /runs/{run_id}/board                           200/404 200/404 200/404 200/404 403     200/404 in
GET  /runs/{run_id}/board/now                       200/404 200/404 200/404 200/404 403     200/404 in
GET  /runs/{run_id}/balance                         200/404 200/404 200/404 200/404 403     200/404 in
GET  /shared-bins                                   200     200     200     200     403     200     in
POST /shared-bins                                   422     422     403     403     403     403     in
GET  /shared-bins/{shared_bin_id}                   200/404 200/404 200/404 200/404 403     200/404 in
POST /shared-bins/{shared_bin_id}/runs              422/404 422/404 403     403     403     403     in
POST /shared-bins/{shared_bin_id}/weight            422/404 422/404 403     403     403     403     in
GET  /runs/{run_id}/line                            200/404 200/404 200/404 200/404 403     200/404 in
POST /runs/{run_id}/trays                           422/404 422/404 403     403     403     403     in
POST /runs/{run_id}/bins                            422/404 422/404 403     403     403     403     in
POST /runs/{run_id}/loose                           422/404 422/404 403     403     403     403     in
POST /runs/{run_id}/samples                         422/404 422/404 403     403     403     403     in
POST /runs/{run_id}/pausing                         422/404 422/404 403     403     403     403     in
POST /runs/{run_id}/going-on                        422/404 422/404 403     403     403     403     in
POST /runs/{run_id}/stations                        422/404 422/404 403     403     403     403     in
POST /runs/{run_id}/stations/leaving                422/404 422/404 403     403     403     403     in
POST /runs/{run_id}/breaks                          422/404 422/404 403     403     403     403     in
GET  /runs/{run_id}/breaks                          200/404 200/404 200/404 200/404 403         200/404 in
POST /runs/{run_id}/breaks/trial                    422/404 422/404 403     403     403         403     in
POST /runs/{run_id}/breaks/decision                 422/404 422/404 403     403     403         403     in
GET  /runs/{run_id}/card                            200/404 200/404 200/404 200/404 403         200/404 in
POST /runs/{run_id}/clearing                        422/404 422/404 403     403     403     403     in
POST /runs/{run_id}/finishing                       422/404 422/404 403     403     403     403     in
POST /runs/{run_id}/voiding                         422/404 422/404 403     403     403     403     in
POST /runs/{run_id}/taking-back                     422/404 422/404 403     403     403     403     in

GET  /markets                                       200     403     403     200     403         403     in
GET  /markets/new                                   200     403     403     403     403         403     in
POST /markets                                       422     403     403     403     403         403     in
GET  /markets/{market_id}                           200/404 403     403     200/404 403         403     in
POST /markets/{market_id}                           422/404 403     403     403     403         403     in
GET  /markets/{market_id}/edit                      200/404 403     403     403     403         403     in
GET  /markets/{market_id}/edit?spec_version         200/404 403     403     403     403         403     in
GET  /markets/{market_id}/prices/new                200/404 403     403     403     403         403     in
POST /markets/{market_id}/prices                    422/404 403     403     403     403         403     in
GET  /markets/{market_id}/history                   200/404 403     403     200/404 403         403     in

GET  /quotes                                        200     403     403     200     403         403     in
GET  /quotes/new                                    200     403     403     200     403         403     in
GET  /quotes/new?market                             200/404 403     403     200/404 403         403     in
GET  /quotes/new?market&consignment                 200/404 403     403     200/404 403         403     in
POST /quotes                                        404     403     403     404     403         403     in
POST /quotes?market&consignment&tray                422/404 403     403     422/404 403         403     in
GET  /quotes/{quote_id}                             200/404 403     403     200/404 403         403     in
POST /quotes/{quote_id}/withdrawal                  422/404 403     403     422/404 403         403     in
GET  /quotes/{quote_id}/history                     200/404 403     403     200/404 403         403     in

GET  /people                                        200     403     403     403     403         403     in
GET  /people/new                                    200     403     403     403     403         403     in
POST /people                                        422     403     403     403     403         403     in
GET  /people/{person_id}                            200/404 403     403     403     403         403     in
POST /people/{person_id}                            422/404 403     403     403     403         403     in
GET  /people/{person_id}/password                   200/404 403     403     403     403         403     in
POST /people/{person_id}/password                   422/404 403     403     403     403         403     in
GET  /people/{person_id}/pin                        200/404 403     403     403     403         403     in
POST /people/{person_id}/pin                        422/404 403     403     403     403         403     in
POST /people/{person_id}/leaving                    409/404 403     403     403     403         403     in
POST /people/{person_id}/return                     409/404 403     403     403     403         403     in
GET  /people/{person_id}/history                    200/404 403     403     403     403         403     in

GET  /settings                                      200     403     403     403     403         403     in
GET  /settings/{key}/new                            200/404 403     403     403     403         403     in
POST /settings/{key}                                422/404 403     403     403     403         403     in
GET  /settings/history                              200     403     403     403     403         403     in

GET  /specs                                         200     200     200     200     200         200     in
GET  /specs/history                                 200     200     200     200     200         200     in
GET  /specs/{spec_version_id}                       200/404 200/404 200/404 200/404 200/404     200/404 in
GET  /specs/{spec_version_id}/file                  200/404 200/404 200/404 200/404 200/404     200/404 in
GET  /specs/{spec_version_id}/comparison            200/404 200/404 200/404 200/404 200/404     200/404 in
GET  /specs/{spec_version_id}/comparison?with=spec_version 200/404 200/404 200/404 200/404 200/404 200/404 in
GET  /specs/{spec_version_id}/history               200/404 200/404 200/404 200/404 403         200/404 in
GET  /specs/{spec_version_id}/copy                  200/404 403     403     403     403         403     in
POST /specs/{spec_version_id}/drafts                422/404 403     403     403     403         403     in
POST /specs/{spec_version_id}/retirement            422/404 403     403     403     403         403     in
POST /specs/{spec_version_id}/return                409/404 403     403     403     403         403     in
GET  /specs/{spec_version_id}/confirmations         200/404 403     403     403     403         403     in
POST /specs/{spec_version_id}/confirmations         422/404 403     403     403     403         403     in
POST /confirmations/{confirmation_id}/withdrawal    422/404 403     403     403     403         403     in
GET  /specs/new                                     200     403     403     403     403         403     in
GET  /specs/import                                  200     403     403     403     403         403     in
POST /specs/import                                  422     403     403     403     403         403     in

POST /drafts                                        422     403     403     403     403         403     in
GET  /drafts/{draft_id}                             200/404 200/404 200/404 200/404 403         200/404 in
GET  /drafts/{draft_id}/file                        200/404 200/404 200/404 200/404 403         200/404 in
GET  /drafts/{draft_id}/comparison                  200/404 200/404 200/404 200/404 403         200/404 in
GET  /drafts/{draft_id}/history                     200/404 200/404 200/404 200/404 403         200/404 in
GET  /drafts/{draft_id}/trial                       200/404 200/404 200/404 200/404 403         200/404 in
GET  /drafts/{draft_id}/trial/samples/{sample_id}   200/404 200/404 200/404 200/404 403         200/404 in
GET  /drafts/{draft_id}/parts/{part}                200/404 403     403     403     403         403     in
POST /drafts/{draft_id}/parts/{part}                422/404 403     403     403     403         403     in
GET  /drafts/{draft_id}/publishing                  200/404 403     403     403     403         403     in
POST /drafts/{draft_id}/publishing                  409/404 403     403     403     403         403     in
POST /drafts/{draft_id}/undoing                     409/404 403     403     403     403         403     in
POST /drafts/{draft_id}/redoing                     409/404 403     403     403     403         403     in
POST /drafts/{draft_id}/putting-aside               409/404 403     403     403     403         403     in
POST /drafts/{draft_id}/return                      409/404 403     403     403     403         403     in
"""


class Row(NamedTuple):
    """One line: the route, the names under which ids go along, and each role's answers by whose record it is."""

    route: Route
    along: Mapping[str, str]
    answers: dict[str, dict[str, str]]


def rows() -> Iterator[Row]:
    """The table, line by line."""
    for line in filter(None, TABLE.splitlines()):
        method, address, *cells = line.split()
        path, _, along = address.partition("?")
        assert len(cells) == len(WHO), f"{len(WHO)} answers are wanted in: {line}"
        names = {name: of or name for name, _, of in (each.partition("=") for each in along.split("&") if each)}
        has_record = "{" in path or bool(names)
        answers = {who: _by_record(cell, has_record=has_record) for who, cell in zip(WHO, cells, strict=True)}
        yield Row(Route(method, path), names, answers)


def _by_record(cell: str, *, has_record: bool) -> dict[str, str]:
    said = cell.split("/")
    if not has_record:
        assert len(said) == 1, f"no record is asked for: {cell}"
        return {OWN: cell}
    own, other, missing = {1: said * 3, 2: [said[0], said[0], said[-1]], 3: said}[len(said)]
    return {OWN: own, OTHER: other, MISSING: missing}
