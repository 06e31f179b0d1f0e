"""What the running program knows of its own https; what makes certificates is loaded only where there is any."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from shedgrade.web.kept_certificates import Certificates


class UnusableError(Exception):
    """A kept file is not what it should be, or cannot be written; the text is the sentence."""


@dataclass(frozen=True, slots=True)
class Tls:
    """Serving by https on ``port``; on ``plain_port`` tablets get the authority's certificate and nothing else."""

    certificates: "Certificates"
    port: int
    plain_port: int
