"""The sentences of a pack-out: what a person would say of it."""

from fractions import Fraction

from shedgrade.reports.findings import Findings
from shedgrade.reports.packout import PackoutReport
from shedgrade.web import ranges
from shedgrade.web.block_words import unseen
from shedgrade.web.packout_lines import class_name


def answer(report: PackoutReport) -> str:
    """The page's heading: what it packs out, and what marked most fruit down."""
    block = report.whole.block.name
    if report.findings is None:
        return unseen(f"{block} in this consignment", report.looked.voided)
    pack_out = ranges.share(report.findings.packout.pack_out)
    cause = _cause_words(report.findings)
    return f"{block} would pack out {pack_out.both}{f'; {cause}' if cause else ''}"


def lead(report: PackoutReport, findings: Findings) -> list[str]:
    """The sentences under the heading, each said only where it is so."""
    return [
        sentence
        for sentence in (
            _looked_at(report, findings),
            one_bin(findings),
            _too_close(report, findings),
            _more_bins(findings),
            _others(report),
        )
        if sentence
    ]


def one_bin(findings: Findings) -> str:
    """Why there is no range, where there is none."""
    if findings.packout.n_draws > 1:
        return ""
    return "All fruit came from one bin, so no range can be given: the next bin may be quite different."


def _looked_at(report: PackoutReport, findings: Findings) -> str:
    packout = findings.packout
    looked = ranges.looked_at(packout.n_fruit, packout.n_draws)
    if not report.net_g:
        return f"We looked at {looked}. Nothing was weighed yet, so there are no kilograms and no trays."
    return f"We looked at {looked}, of about {ranges.about(packout.fruit.value)} in the consignment."


def _cause_words(findings: Findings) -> str:
    if not findings.causes:
        return ""
    first = findings.causes[0].cause.name
    if not findings.causes_too_close:
        return f"{first} marked most fruit down"
    return f"{first} or {findings.causes[1].cause.name} marked most fruit down"


def _too_close(report: PackoutReport, findings: Findings) -> str:
    if findings.packout.n_draws == 1:
        return ""
    said = []
    if findings.too_close is not None:
        first, second = (class_name(report.spec, each) for each in findings.too_close)
        said.append(f"whether it holds more {first} or more {second}")
    if findings.causes_too_close:
        first, second = (each.cause.name for each in findings.causes[:2])
        said.append(f"whether {first} or {second} marked more fruit down")
    return f"The sample cannot tell {', nor '.join(said)}." if said else ""


def _more_bins(findings: Findings) -> str:
    """What more bins would bring, from how these bins differ; said only of a range worth narrowing."""
    if findings.more_bins is None:
        return ""
    each = Fraction(findings.packout.n_fruit, findings.packout.n_draws)
    fruit = ranges.about(findings.more_bins * each)
    bins = "1 more bin" if findings.more_bins == 1 else f"{findings.more_bins} more bins"
    return f"{bins} (about {fruit} fruit) would make the range about half as wide."


def _others(report: PackoutReport) -> str:
    if not report.looked.others:
        return ""
    named = " and ".join(f"{fruit} fruit of the {question} sample" for question, fruit in report.looked.others)
    return f"Not in these figures: {named}. Only fruit drawn before any sorting says what a consignment packs out."


def mix_title(report: PackoutReport, findings: Findings, *, by_number: bool) -> str:
    """The class picture's answer: the largest class."""
    rows = [row for row in findings.packout.classes if row.class_id is not None]
    largest = max(rows, key=lambda row: row.by_number.value if by_number else row.by_weight.value)
    share = largest.by_number if by_number else largest.by_weight
    if not share.value:
        return "No fruit of the sample makes a class"
    return f"{class_name(report.spec, largest.class_id)} is the largest part: {ranges.share(share).both}"


def weight_title(findings: Findings) -> str:
    """The weight picture's answer: the count that most fruit would pack as."""
    counted: dict[int, int] = {}
    for cell in findings.cells:
        counted[cell.count] = counted.get(cell.count, 0) + cell.found
    if not counted:
        return "What the fruit weigh"
    most = max(counted, key=lambda count: counted[count])
    looked_at = f"{counted[most]} of the {findings.packout.n_fruit} fruit looked at"
    return f"More would go into {most}s than into any other count: {looked_at}"
