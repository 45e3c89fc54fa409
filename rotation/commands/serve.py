"""`rotation serve`: the kitchen page, and the feed, until Ctrl-C."""

from __future__ import annotations

import socket
from typing import Annotated

import typer

from rotation.commands.options import HouseholdOption, clock, found
from rotation.errors import BadInput, Mistake

PORT = 8377


def serve(
    household: HouseholdOption = None,
    port: Annotated[int, typer.Option("--port", metavar="N", min=0, max=65535, help="0: any that is free.")] = PORT,
) -> None:
    """Show the kitchen page to browsers, until Ctrl-C."""
    import uvicorn

    from rotation.page.app import create_app

    listening = _listening("127.0.0.1", port)
    app = create_app(found(household).folder, clock)
    typer.echo(f"The kitchen page: http://localhost:{listening.getsockname()[1]}/  Ctrl-C ends it.")
    config = uvicorn.Config(app, access_log=False, log_level="warning", server_header=False, proxy_headers=False)
    uvicorn.Server(config).run(sockets=[listening])


def _listening(host: str, port: int) -> socket.socket:
    """Return a socket that listens. Raises BadInput where the port is taken, or is not ours to take."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    listening = socket.socket(family, socket.SOCK_STREAM)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((host, port))
    except OSError as error:
        listening.close()
        wrong = f"{host}, port {port}: {error.strerror or error}."
        raise BadInput(Mistake("--port", None, "", wrong, "Name another: rotation serve --port 0")) from None
    return listening
