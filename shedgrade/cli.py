"""The command line. Each command imports what it needs when it runs, so that --help answers at once."""

from pathlib import Path
from typing import Annotated

import typer

app = typer.Typer(
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_show_locals=False,
    help="Fruit grading, tray counts and pack-out for a packing shed.",
)

Host = Annotated[str, typer.Option(help="The address to listen on; 0.0.0.0 lets the shed's tablets in.")]
Port = Annotated[int, typer.Option(help="The port to listen on, from 1 to 65535.")]
DatabaseUrl = Annotated[
    str | None,
    typer.Option(help="An SQLite file or a postgresql+psycopg:// address; your own data folder if left out."),
]


@app.command()
def demo(
    host: Host = "127.0.0.1",
    port: Port = 8000,
    keep: Annotated[bool, typer.Option("--keep", help="Go on with the demo as you left it.")] = False,
) -> None:
    """Start with the demo season: an invented valley, three weeks of mango and avocado."""
    from shedgrade.demo.start import greeting, prepare
    from shedgrade.web.serving import refuse_taken, run

    _plain_port(port)
    refuse_taken(host, port)
    settings, database = prepare(port, keep=keep)
    run(settings, database, host, port, lambda place: greeting(place.say("The demo season")))


@app.command()
def serve(
    host: Host = "127.0.0.1",
    port: Port = 8000,
    database: DatabaseUrl = None,
    tls: Annotated[
        bool, typer.Option("--tls", help="Serve by https, with a certificate of this machine's own.")
    ] = False,
    plain_port: Annotated[
        int | None,
        typer.Option(help="With --tls: where tablets get that certificate; the next port if left out."),
    ] = None,
) -> None:
    """Start on your own data."""
    from shedgrade.web.serving import refuse_taken, serve_own

    beside = _plain_port(port, tls=tls, plain_port=plain_port)
    for each in (port, beside):
        if each is not None:
            refuse_taken(host, each)
    serve_own(host, port, database, beside)


def _plain_port(port: int, *, tls: bool = False, plain_port: int | None = None) -> int | None:
    from shedgrade.web.ports import PortError, plain_port_of

    try:
        return plain_port_of(port, tls=tls, plain_port=plain_port)
    except PortError as mistake:
        typer.echo(f"shedgrade cannot start: {mistake}", err=True)
        raise typer.Exit(2) from mistake


@app.command()
def password(
    name: Annotated[str, typer.Argument(help="Whose password, by the name in the books.")],
    database: DatabaseUrl = None,
) -> None:
    """Give somebody a new password, on the shed's own machine: for a manager who has forgotten theirs."""
    from shedgrade.domain.sign_in import PASSWORD_RULE
    from shedgrade.web.rescue import give_password

    def ask() -> str:
        typer.echo(PASSWORD_RULE)
        return str(typer.prompt("New password", hide_input=True, confirmation_prompt=True))

    named = give_password(name, ask, database)
    typer.echo(f"{named} signs in by the new password from now on; who came in by the old one is out.")


@app.command()
def scale(  # noqa: PLR0913, PLR0917 - one for each thing a person can say
    device: Annotated[str, typer.Option(help="The serial port of the scale, such as /dev/ttyUSB0 or COM3.")],
    bench: Annotated[str, typer.Option(help="The address of the bench, as its page of the scale shows it.")],
    code: Annotated[str, typer.Option(help="The code the bench shows; asked for where it is needed.")] = "",
    baud: Annotated[int, typer.Option(min=300, max=921_600, help="How fast the scale sends.")] = 9600,
    bits: Annotated[int, typer.Option(min=7, max=8, help="How many data bits it sends.")] = 8,
    parity: Annotated[str, typer.Option(help="none, even or odd.")] = "none",
    unit: Annotated[str, typer.Option(help="g, kg, lb or oz: of numbers that come without one.")] = "g",
    authority: Annotated[
        Path | None, typer.Option(help="The file shed-authority.crt, where the shed serves by https of its own.")
    ] = None,
) -> None:
    """Read a scale at a serial port and put its weights into the bench it is paired with."""
    from shedgrade.exchange.scale_bridge import SerialSaid, feed

    def ask() -> str:
        return str(typer.prompt("The code that the bench shows"))

    said = SerialSaid(device, baud, bits, parity, unit)
    raise typer.Exit(feed(bench, said, code, ask, authority))


FruitFile = Annotated[Path, typer.Argument(help="A CSV of measured fruit.")]
SpecName = Annotated[str, typer.Option(help="The name of a built-in spec, or a spec file.")]
CropFile = Annotated[Path | None, typer.Option(help="The crop file of a spec file's crop, if not built in.")]
Variety = Annotated[str | None, typer.Option(help="The variety of the load.")]
Day = Annotated[str | None, typer.Option(help="The day of the inspection, such as 2026-01-12.")]
Stage = Annotated[str | None, typer.Option(help="The stage of marketing, by the spec's word.")]
Destination = Annotated[str | None, typer.Option(help="Where it goes, by the spec's word.")]
GrownIn = Annotated[str | None, typer.Option(help="Where or how it grew, by the spec's word.")]
Presentation = Annotated[str | None, typer.Option(help="How it is packed, by the spec's word.")]
Taken = Annotated[list[str] | None, typer.Option(help='The mean of a test, "dry-matter=15.2"; once for each test.')]
AsTyped = Annotated[
    bool, typer.Option("--as-typed", help="A variety or word that looks like a slip of a known one is meant so.")
]
TakenOf = Annotated[int | None, typer.Option(help="Of how many fruit these means are.")]


@app.command()
def grade(  # noqa: PLR0913, PLR0917 - one for each thing a person can say
    file: FruitFile,
    spec: SpecName,
    crop: CropFile = None,
    tray: Annotated[str | None, typer.Option(help='A tray such as "7 kg: 12 14 16 18 20".')] = None,
    format_: Annotated[str, typer.Option("--format", help="table, csv or json.")] = "table",
    variety: Variety = None,
    day: Day = None,
    stage: Stage = None,
    destination: Destination = None,
    grown_in: GrownIn = None,
    presentation: Presentation = None,
    taken: Taken = None,
    taken_of: TakenOf = None,
    as_typed: AsTyped = False,
) -> None:
    """Grade a file of measured fruit: class, size codes, count and reasons a fruit, and the totals."""
    from shedgrade.exchange.grading import grade_file
    from shedgrade.exchange.load_options import LoadSaid

    said = LoadSaid(variety, day, stage, destination, grown_in, presentation, taken or (), taken_of, as_typed)
    raise typer.Exit(grade_file(file, spec, tray, format_, crop_file=crop, said=said))


@app.command()
def lot(  # noqa: PLR0913, PLR0917 - one for each thing a person can say
    file: FruitFile,
    spec: SpecName,
    class_: Annotated[str, typer.Option("--class", help="The class on the label.")],
    basis: Annotated[str, typer.Option(help="number or weight: what is counted, declared before the answer is known.")],
    crop: CropFile = None,
    size: Annotated[
        str | None, typer.Option(help="The size code on the label; the file's size code if left out.")
    ] = None,
    format_: Annotated[str, typer.Option("--format", help="table or json.")] = "table",
    variety: Variety = None,
    day: Day = None,
    stage: Stage = None,
    destination: Destination = None,
    grown_in: GrownIn = None,
    presentation: Presentation = None,
    taken: Taken = None,
    taken_of: TakenOf = None,
    as_typed: AsTyped = False,
) -> None:
    """Judge a file of measured fruit as one lot, by the tolerances and package limits of the spec; its bin or tray
    column names the packages."""
    from shedgrade.exchange.load_options import LoadSaid
    from shedgrade.exchange.lot_file import Labelled, judge_file

    said = LoadSaid(variety, day, stage, destination, grown_in, presentation, taken or (), taken_of, as_typed)
    raise typer.Exit(judge_file(file, spec, Labelled(class_, size, basis), format_, crop_file=crop, said=said))
