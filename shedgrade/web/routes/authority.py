"""The authority behind this machine's certificate, handed to tablets before anybody signs in on them."""

from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from shedgrade.storage.missing import MissingError
from shedgrade.web.pages import page
from shedgrade.web.state import CurrentShed, Shed
from shedgrade.web.tls import Tls

router = APIRouter()


@dataclass(frozen=True, slots=True)
class AuthorityView:
    """How the authority is known, and where the shed is once it is trusted."""

    title: str
    fingerprint: str
    address: str


@router.get("/authority")
def show(request: Request, shed: CurrentShed) -> HTMLResponse:
    """How a tablet comes to trust this machine."""
    tls = _tls(shed)
    host = request.url.hostname or "localhost"
    shown = f"[{host}]" if ":" in host else host
    address = f"https://{shown}:{tls.port}/"
    return page(request, "authority/page.html", AuthorityView("Trust", tls.certificates.fingerprint(), address))


@router.get("/authority.crt")
def hand_out(shed: CurrentShed) -> Response:
    """The authority's certificate; its key stays on the machine."""
    headers = {"content-disposition": 'attachment; filename="shed-authority.crt"'}
    der = _tls(shed).certificates.authority_der()
    return Response(der, media_type="application/x-x509-ca-cert", headers=headers)


def _tls(shed: Shed) -> Tls:
    if shed.tls is None:
        raise MissingError
    return shed.tls
