"""The server that listens: it says where it is, and by https keeps its certificate good and hands out the authority."""

import asyncio
import logging
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from socket import socket

import uvicorn
from starlette.types import ASGIApp

from shedgrade.web.plain_door import PlainDoor
from shedgrade.web.tls import Tls, UnusableError

log = logging.getLogger("shedgrade")


class Server(uvicorn.Server):
    """Says where it is once it listens, and not before."""

    def __init__(self, config: uvicorn.Config, greeting: str) -> None:
        super().__init__(config)
        self._greeting = greeting

    async def startup(self, sockets: list[socket] | None = None) -> None:
        """Listen, then say so."""
        await super().startup(sockets)
        if self.started:
            sys.stdout.write(f"{self._greeting}\n")
            sys.stdout.flush()


class TlsServer(Server):
    """The same by https. It goes on with a new certificate without a pause, and hands out the authority's by http."""

    def __init__(
        self, app: ASGIApp, config: uvicorn.Config, greeting: str, tls: Tls, looks_every_s: float = 600
    ) -> None:
        config.ssl_certfile = config.ssl_keyfile = tls.certificates.server_file
        super().__init__(config, greeting)
        self._tls = tls
        self._looks_every_s = looks_every_s
        self._besides: list[asyncio.Task[None]] = []
        plain = uvicorn.Config(
            PlainDoor(app), host=config.host, port=tls.plain_port, log_level="warning", lifespan="off"
        )
        self._door = _Beside(plain)

    async def startup(self, sockets: list[socket] | None = None) -> None:
        """Listen, on both ports."""
        await super().startup(sockets)
        if self.started:
            self._besides = [asyncio.create_task(self._door.serve()), asyncio.create_task(self._renew())]

    async def shutdown(self, sockets: list[socket] | None = None) -> None:
        """Stop, the door first."""
        self._door.should_exit = True
        for task in self._besides[1:]:
            task.cancel()
        await asyncio.gather(*self._besides, return_exceptions=True)
        await super().shutdown(sockets)

    async def _renew(self) -> None:
        """Look now and then: also an address that the network gave this machine meanwhile comes into it."""
        while True:
            await asyncio.sleep(self._looks_every_s)
            try:
                if await asyncio.to_thread(self._tls.certificates.renew):
                    assert self.config.ssl is not None
                    self.config.ssl.load_cert_chain(self._tls.certificates.server_file)
                    log.info("the certificate of this machine was renewed")
            except (OSError, UnusableError) as mistake:
                log.warning("the certificate of this machine was not renewed: %s", mistake)


class _Beside(uvicorn.Server):
    """A second server in one program: stopping is heard by the first."""

    @contextmanager
    def capture_signals(self) -> Iterator[None]:
        yield
