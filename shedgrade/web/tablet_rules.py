"""The rules that a sample's fruit are judged by, as a tablet is sent them, and the hash by which it tells whether those
it holds are still the ones."""

from hashlib import sha256
from json import dumps
from typing import NamedTuple

from sqlmodel import Session

from shedgrade.domain.grading.tablet.rules import rules_for_tablet
from shedgrade.reports.sample import Rules
from shedgrade.storage import specs
from shedgrade.storage.bench import BenchSample


class TabletRules(NamedTuple):
    """The document as JSON (``domain/grading/tablet/rules.py``), its SHA-256 in hex, and what it was written from."""

    content: bytes
    sha256: str
    rules: Rules


def tablet_rules(session: Session, sample: BenchSample, rules: Rules) -> TabletRules:
    """The document for the rules of this sample, written at first use."""
    kept = _written.get(id(rules))
    if kept is None:
        if len(_written) >= _KEPT:
            _written.clear()
        kept = _written[id(rules)] = _write(specs.version(session, sample.spec_version_id).sha256, rules)
    return kept


# By the identity of the rules, which each entry holds on to: they are kept in reports/sample.py, and hashing a whole
# spec takes longer than writing it.
_KEPT = 64
_written: dict[int, TabletRules] = {}


def _write(spec_sha256: str, rules: Rules) -> TabletRules:
    document = rules_for_tablet(rules.spec, spec_sha256, rules.load, rules.tray)
    content = dumps(document, separators=(",", ":")).encode()
    return TabletRules(content, sha256(content).hexdigest(), rules)
