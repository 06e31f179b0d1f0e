"""Reads a scale at a serial port and sends each weight to the bench it is paired with."""

import os
import re
import sys
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import Protocol

import serial

from shedgrade.domain.entry.scale_line import scale_line, split
from shedgrade.domain.scales import Settling
from shedgrade.exchange.scale_link import NotPairedError, Outbox, RefusedError, ShedLine
from shedgrade.settings import data_folder

_LISTEN_S = 0.2
_REOPEN_AFTER_S = 2.0
_PARITIES = {"none": serial.PARITY_NONE, "even": serial.PARITY_EVEN, "odd": serial.PARITY_ODD}
_UNITS = ("g", "kg", "lb", "oz")
_ONLY_MINE = 0o600
_ADDRESS = re.compile(r"https?://([^/:\s]+|\[[0-9a-fA-F:]+\])(:[0-9]{1,5})?(/\S*)?")


class Port(Protocol):
    """As much of a serial port as is used."""

    @property
    def in_waiting(self) -> int:
        """How many bytes have come."""
        ...

    def read(self, size: int = 1) -> bytes:
        """So many bytes, fewer after a while."""
        ...

    def close(self) -> None:
        """Let it go."""
        ...


def say(words: str) -> None:
    """Tell whoever looks at this machine."""
    sys.stdout.write(f"{words}\n")
    sys.stdout.flush()


@dataclass(frozen=True, slots=True)
class SerialSaid:
    """What was said of the scale: its port, how it sends, and the unit of numbers that come without one."""

    device: str
    baud: int = 9600
    bits: int = 8
    parity: str = "none"
    unit: str = "g"

    def open(self) -> Port:
        """Open the port, also again after its cable was out."""
        parity = _PARITIES[self.parity]
        return serial.Serial(self.device, self.baud, bytesize=self.bits, parity=parity, timeout=_LISTEN_S)


def feed(
    bench: str,
    said: SerialSaid,
    code: str,
    ask: Callable[[], str],
    authority: Path | None = None,
    stopped: threading.Event | None = None,
) -> int:
    """Pair if need be, then read and send until stopped. Gives the exit code; what went wrong is said in a sentence."""
    if wrong := _wrong(bench, said):
        return _failed(wrong)
    try:
        port, line, kept = said.open(), ShedLine(bench, authority), _kept_at(data_folder(), bench, said.device)
        outbox = Outbox(line, token_for(line, kept, said.device, ask, code), say)
    except (OSError, RefusedError, NotPairedError) as mistake:
        return _failed(str(mistake))
    say(f"Reading {said.device}, sending to {bench}. Ctrl+C stops it.")
    try:
        bridge(port, said.open, outbox, said.unit, stopped or threading.Event())
    except KeyboardInterrupt:
        return 0
    except NotPairedError as ended:
        kept.unlink(missing_ok=True)  # else the next start would not ask for a code
        return _failed(str(ended))
    return 0


def _wrong(bench: str, said: SerialSaid) -> str:
    if not _ADDRESS.fullmatch(bench):
        return f'"{bench}" is no address; one such as https://192.168.4.20:8000 is accepted.'
    if said.parity not in _PARITIES:
        return f'"{said.parity}" is no parity; {", ".join(_PARITIES)} are accepted.'
    if said.unit not in _UNITS:
        return f'"{said.unit}" is no unit of a scale; {", ".join(_UNITS)} are accepted.'
    return ""


def _failed(sentence: str) -> int:
    sys.stderr.write(f"shedgrade scale: {sentence}\n")
    return 1


def _kept_at(folder: Path, bench: str, device: str) -> Path:
    """Where the token of this scale at this shed is kept."""
    return folder / f"scale-{sha256(f'{bench} {device}'.encode()).hexdigest()[:16]}.token"


def token_for(line: ShedLine, kept: Path, device: str, ask: Callable[[], str], code: str) -> str:
    """The token that was kept before, or got for a code and kept now. RefusedError, NotPairedError, OSError."""
    if not code and kept.exists():
        return kept.read_text(encoding="ascii").strip()
    name = f"Scale at {Path(device).name}"
    token = line.pair(re.sub(r"\s", "", code or ask()), name)
    kept.unlink(missing_ok=True)
    with os.fdopen(os.open(kept, os.O_WRONLY | os.O_CREAT | os.O_EXCL, _ONLY_MINE), "w", encoding="ascii") as written:
        written.write(token)
    return token


def bridge(port: Port, open_port: Callable[[], Port], outbox: Outbox, unit: str, stopped: threading.Event) -> None:
    """Read and send until stopped, opening the port again after its cable was out. NotPairedError once the shed ends
    the pairing."""
    sender = threading.Thread(target=outbox.run, args=(stopped,), daemon=True)
    sender.start()
    try:
        while not stopped.is_set() and outbox.ended is None:
            _listen(port, outbox, unit, stopped)
            port.close()
            if not stopped.is_set() and outbox.ended is None:
                port = _open_again(open_port, stopped) or port
    finally:
        stopped.set()
        port.close()
        sender.join(_REOPEN_AFTER_S)
    if outbox.ended is not None:
        raise outbox.ended


def _listen(port: Port, outbox: Outbox, unit: str, stopped: threading.Event) -> None:
    """Until the port fails, as it does when its cable is pulled out."""
    settling, lines = Settling(), _WholeLines()
    while not stopped.is_set() and outbox.ended is None:
        try:
            received = port.read(max(port.in_waiting, 1))
        except (OSError, serial.SerialException) as mistake:
            say(f"The scale's port does not answer ({mistake}). It is tried again.")
            return
        now_s = time.monotonic()
        told = [settling.quiet(now_s)]
        told += [settling.line(scale_line(line, unit), now_s) for line in lines.of(received)]
        for weight_dg in told:
            if weight_dg is not None:
                outbox.put(weight_dg, now_s)


@dataclass(slots=True)
class _WholeLines:
    """Lines out of what a port gives from when it is listened to. Its first ones may be old, as they wait there while
    a code is typed, or cut, as a scale sends on meanwhile: until a moment passes in which nothing comes, or a line
    ends that came by itself, none is taken."""

    _begun: bytes = b""
    _is_first: bool = True

    def of(self, received: bytes) -> list[bytes]:
        """Those that end here; ``received`` is empty when nothing came for a moment."""
        lines, self._begun = split(self._begun + received)
        if not self._is_first:
            return lines
        self._is_first = not lines and bool(received or self._begun)
        return []


def _open_again(open_port: Callable[[], Port], stopped: threading.Event) -> Port | None:
    while not stopped.wait(_REOPEN_AFTER_S):
        try:
            port = open_port()
        except (OSError, serial.SerialException):
            continue
        say("The scale's port is there again.")
        return port
    return None
