"""`rotation serve`: the kitchen page, and the feed, until Ctrl-C."""

from __future__ import annotations

import socket
from collections.abc import Iterator
from ipaddress import ip_address
from pathlib import Path
from typing import Annotated

import typer

from rotation.commands.options import HouseholdOption, clock, found
from rotation.errors import BadInput, Mistake

PORT = 8377
HERE, EVERYWHERE = "127.0.0.1", "0.0.0.0"
SECONDS_TO_END = 5
"""How long those who are being answered are waited for after Ctrl-C."""
MOST_AT_ONCE = 200


def serve(
    household: HouseholdOption = None,
    network: Annotated[
        bool, typer.Option("--network", help="Let phones of the home network in, once paired with a code.")
    ] = False,
    host: Annotated[
        str | None, typer.Option("--host", metavar="ADDRESS", help="Listen at this address of the machine only.")
    ] = None,
    port: Annotated[int, typer.Option("--port", metavar="N", min=0, max=65535, help="0: any that is free.")] = PORT,
    name: Annotated[
        list[str] | None,
        typer.Option("--name", metavar="NAME", help="A further name the page is known by; then phones pair."),
    ] = None,
) -> None:
    """Show the kitchen page to browsers, until Ctrl-C."""
    import uvicorn

    from rotation.page.app import create_app
    from rotation.page.guard import Access

    folder = found(household).folder
    _looked_into(folder)
    at = host or (EVERYWHERE if network else HERE)
    listening = _listening(at, port)
    beyond = network or bool(name) or not _is_here(at)  # under another name somebody else may pass requests on
    access = Access(network=beyond, names=tuple(one.casefold() for one in name or ()))
    app = create_app(folder, clock, access)
    config = uvicorn.Config(
        app, access_log=False, log_level="warning", server_header=False, proxy_headers=False, ws="none",
        limit_concurrency=MOST_AT_ONCE, timeout_graceful_shutdown=SECONDS_TO_END,
    )  # fmt: skip
    try:
        for line in _begun(folder, listening, network=beyond):
            typer.echo(line)
        uvicorn.Server(config).run(sockets=[listening])
    except KeyboardInterrupt:
        typer.echo("Ended.")
    finally:
        listening.close()


def _looked_into(folder: Path) -> None:
    """Say on stderr what is wrong with a household; raise BadInput only where there is none at all."""
    from rotation.household.reading import SETTINGS, read_home
    from rotation.keys import Keys
    from rotation.stockroom import STATE

    try:
        read_home(folder)
    except BadInput as error:
        if not (folder / SETTINGS).is_file():
            raise
        typer.echo(f"{error}\nThe page says the same until this is mended.", err=True)
    keys = Keys(folder / STATE)
    keys.signing()
    if keys.forgetful:
        typer.echo(
            f"{keys.forgetful}. Nothing can be recorded, and phones that pair are forgotten when this ends.", err=True
        )


def _listening(host: str, port: int) -> socket.socket:
    """Return a socket that listens. Raises BadInput where the port is taken, or is not ours to take."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    listening = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)  # by name, or asyncio lets answers wait
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((host, port))
        listening.listen()
    except OSError as error:
        listening.close()
        wrong = f"{host[:80]}, port {port}: {error.strerror or error}."
        instead = "Is the page open already? Else name another: rotation serve --port 0"
        raise BadInput(Mistake("serve", None, "", wrong, instead)) from None
    return listening


def _is_here(host: str) -> bool:
    """Say whether an address is reached from this machine alone."""
    try:
        return ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"


def _begun(folder: Path, listening: socket.socket, *, network: bool) -> Iterator[str]:
    """Yield what is said as the page begins: where it is, and on the network the code for pairing."""
    host, port = listening.getsockname()[:2]
    if not network:
        yield f"The kitchen page: http://localhost:{port}/ on this machine alone. Ctrl-C ends it."
        return
    from rotation import pairing
    from rotation.keys import Keys
    from rotation.stockroom import STATE

    at = host if host not in (EVERYWHERE, "::") else _own_address()
    yield f"The kitchen page: http://{f'[{at}]' if ':' in at else at}:{port}/ Ctrl-C ends it."
    code = pairing.new_code(Keys(folder / STATE), clock())
    minutes = int(pairing.GOOD_FOR.total_seconds() // 60)
    yield f"Pair a phone with {code[:3]} {code[3:]} within {minutes} minutes. Later: rotation phones pair"
    yield "What passes is not encrypted: let in only who may use your network."


def _own_address() -> str:
    """Return the address by which the network knows this machine. Nothing is sent to find it out."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        try:
            asking.connect(("192.0.2.1", 9))  # an address of documentation (RFC 5737): only the way there is looked up
            return str(asking.getsockname()[0])
        except OSError:
            return socket.gethostname()
