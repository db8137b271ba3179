"""`qlog phone`: the bench on a phone."""

from __future__ import annotations

import click

from qlog.cli.context import PLAN_NAME, build_folder, load_plan, opened, who_enters


@click.command("phone")
@click.option(
    "--address", metavar="IP",
    help="Address of this computer to listen on; by default the one on the home network.",
)  # fmt: skip
@click.option("--port", type=click.IntRange(0, 65535), help="Port; by default always 8737.")
@click.option(
    "--sheet", is_flag=True,
    help="On this computer alone: the photo of a filled-in sheet beside the places to type into.",
)  # fmt: skip
@click.pass_context
def command(ctx: click.Context, address: str | None, port: int | None, sheet: bool) -> None:
    """Open the bench page on a phone: scan the code that is printed, nothing is installed.

    The page runs on your own network while this command runs; Ctrl-C ends it. Whoever scans the
    code may enter readings and photos, nobody else. What the phone could not send waits on it.

    \b
    Example:
      qlog phone
      qlog phone --address 192.168.1.20
      qlog phone --sheet
    """
    from qlog.cli.terminal.say import say_line
    from qlog.intake.photos.slate import terminal_code
    from qlog.phone.serve import PORT, Server, checked_address, home_address
    from qlog.words.catalogue import words_of

    build = load_plan(ctx)
    words = words_of(build)
    with opened(ctx):  # a logbook that cannot be opened is told now and here
        pass
    if address is not None:
        chosen = checked_address(address)
    else:
        chosen = "127.0.0.1" if sheet else home_address()
    plan = build_folder(ctx.find_root().obj) / PLAN_NAME
    server = Server(plan.resolve(), chosen, PORT if port is None else port, who_enters(ctx, build))
    url = server.url + ("?sheet" if sheet else "")
    if not sheet:
        click.echo(terminal_code(url))
    click.echo(url)
    say_line(words("serve.browser" if sheet else "serve.scan"))
    try:
        server.run()
    except KeyboardInterrupt:
        pass
    finally:
        server.close()
    say_line(words("serve.ended"))
