"""Who trusts the authority of the shed has a secure context, in which pages can be kept for when the network fails."""

import base64
import hashlib
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from cryptography.hazmat.primitives import serialization
from fastapi import Response
from playwright.sync_api import BrowserType, Error, Page, expect

from shedgrade.settings import Settings
from shedgrade.storage.database import Database
from shedgrade.web.app import create_app
from shedgrade.web.certificates import names_here, read
from shedgrade.web.kept_certificates import Certificates
from shedgrade.web.tls import Tls
from tests.support.serving import free_port, serve_tls

SERVICE_WORKER = "addEventListener('fetch', () => {});"


class Site(NamedTuple):
    secure: str
    plain: str
    certificates: Certificates


@pytest.fixture
def site(sqlite_database: Database, tmp_path: Path) -> Iterator[Site]:
    certificates = Certificates(tmp_path / "tls", lambda: names_here("127.0.0.1"))
    certificates.renew()
    tls = Tls(certificates, free_port(), free_port())
    app = create_app(Settings(database=sqlite_database.url), sqlite_database, tls=tls)
    app.add_api_route("/worker.js", lambda: Response(SERVICE_WORKER, media_type="text/javascript"))
    with serve_tls(app, tls) as (secure, plain):
        yield Site(secure, plain, certificates)


def key_hash(certificates: Certificates) -> str:
    """What the browser is told to trust: SHA-256 of the public key."""
    certificate = read(certificates.server_file.read_bytes()).certificate
    der = certificate.public_key().public_bytes(
        serialization.Encoding.DER, serialization.PublicFormat.SubjectPublicKeyInfo
    )
    return base64.b64encode(hashlib.sha256(der).digest()).decode()


def test_a_browser_that_does_not_trust_it_opens_nothing(page: Page, site: Site) -> None:
    with pytest.raises(Error, match="ERR_CERT_AUTHORITY_INVALID"):
        page.goto(site.secure)


def test_one_that_does_can_keep_pages(
    browser_type: BrowserType, browser_type_launch_args: dict[str, Any], site: Site
) -> None:
    trusts = f"--ignore-certificate-errors-spki-list={key_hash(site.certificates)}"
    started = {**browser_type_launch_args, "args": [*browser_type_launch_args["args"], trusts]}
    browser = browser_type.launch(**started)
    page = browser.new_page()
    page.goto(f"{site.secure}/authority")
    assert page.evaluate("isSecureContext")
    active = page.evaluate(
        "navigator.serviceWorker.register('/worker.js').then(() => navigator.serviceWorker.ready)"
        ".then((ready) => ready.scope)"
    )
    assert active == f"{site.secure}/"
    browser.close()


def test_a_tablet_begins_at_the_plain_port(page: Page, site: Site) -> None:
    page.goto(site.plain)
    expect(page.get_by_text(site.certificates.fingerprint())).to_be_visible()
    with page.expect_download() as downloading:
        page.get_by_role("link", name="Get the shed's authority").click()
    assert downloading.value.suggested_filename == "shed-authority.crt"
    assert downloading.value.path().read_bytes() == site.certificates.authority_der()
    page.get_by_text("iPad or iPhone").click()
    expect(page.get_by_text("Certificate trust settings")).to_be_visible()
