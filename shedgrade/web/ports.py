"""The ports that a program was told to listen on."""

_LARGEST = 65_535
_ACCEPTED = f"a number from 1 to {_LARGEST} is accepted"


class PortError(Exception):
    """No such ports can be listened on; the text is the sentence."""


def plain_port_of(port: int, *, tls: bool = False, plain_port: int | None = None) -> int | None:
    """The plain port beside https, the next one where none was said; None without https. PortError."""
    for name, each in (("--port", port), ("--plain-port", plain_port)):
        if each is not None and not 1 <= each <= _LARGEST:
            raise PortError(f"{name} is {each}: {_ACCEPTED}.")
    if not tls:
        if plain_port is not None:
            raise PortError("--plain-port says where tablets get the certificate of --tls: it is accepted with --tls.")
        return None
    if plain_port == port:
        raise PortError(f"--port and --plain-port are both {port}: two that differ are accepted.")
    if plain_port is None and port == _LARGEST:
        raise PortError(f"After --port {port} comes no port for --tls: with --plain-port {_ACCEPTED}.")
    return plain_port or port + 1
