"""Serving: on one address of this computer, while the command runs."""

from __future__ import annotations

import ipaddress
import socket
from pathlib import Path
from typing import Any

from qlog.phone.app import make_app
from qlog.phone.guard import MOST_PHOTO, Keys
from qlog.problem import Problem, ToSay

#: What a phone has not sent belongs to address and port: both stay the same from day to day.
PORT = 8737


def home_address() -> str:
    """This computer's address on the home network. Raises Problem when it is on none.

    Asks the system which way it would go; nothing is sent.
    """
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # an address for documentation (RFC 5737)
            found = str(probe.getsockname()[0])
        except OSError:
            found = "127.0.0.1"
    if ipaddress.ip_address(found).is_loopback:
        raise Problem(ToSay("error.computer_network_join"))
    return found


def checked_address(text: str) -> str:
    """One address of this computer as it was typed. Raises Problem for any that is none."""
    try:
        address = ipaddress.ip_address(text)
    except ValueError:
        raise Problem(ToSay("error.address_write_example", text=text)) from None
    if address.is_unspecified or address.is_multicast or address.version != 4:
        raise Problem(ToSay("error.stands_many_addresses", text=text))
    return str(address)


class Server:
    """The page on one address and port; `url` opens it once for each phone.

    Listens from the moment it is made. Raises Problem when the address or port cannot be had.
    """

    def __init__(self, plan: Path, address: str, port: int = PORT, person: str = "") -> None:
        import waitress

        self.keys = Keys()
        self._closed = False
        listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        try:
            # Ports that have just been left may be taken again at once, except where that would
            # let two programs share one.
            if hasattr(socket, "SO_EXCLUSIVEADDRUSE"):
                listening.setsockopt(socket.SOL_SOCKET, socket.SO_EXCLUSIVEADDRUSE, 1)
            else:
                listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            listening.bind((address, port))
        except OSError as error:
            listening.close()
            raise Problem(
                ToSay("error.cannot_listen_end", address=address, port=port, reason=error)
            ) from error
        self.port = int(listening.getsockname()[1])
        self.host = f"{address}:{self.port}"
        self._server: Any = waitress.create_server(
            make_app(plan, self.keys, self.host, person),
            sockets=[listening],
            threads=4,
            max_request_body_size=MOST_PHOTO,
            max_request_header_size=16_384,
            channel_timeout=60,
            connection_limit=50,
            ident="",
            clear_untrusted_proxy_headers=True,
        )

    @property
    def url(self) -> str:
        """The address with the key in it."""
        return f"http://{self.host}/come-in/{self.keys.key}"

    def run(self) -> None:
        """Answer until the program is interrupted, or `close` is called from elsewhere."""
        try:
            self._server.run()
        except OSError:
            if not self._closed:
                raise

    def close(self) -> None:
        """Stop listening."""
        self._closed = True
        self._server.close()
