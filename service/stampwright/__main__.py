"""Runs the service (`serve`), the beekeepers' marks through it (`demo`), or prints its contract (`contract`)."""

from __future__ import annotations

import argparse
import dataclasses
import importlib
import os
import sys


def main(argv: list[str]) -> int:
    """Run one command; returns the exit status."""
    parser = argparse.ArgumentParser(prog="stampwright", description=__doc__)
    commands = parser.add_subparsers(dest="command", required=True, metavar="serve | demo | contract")
    serve = commands.add_parser("serve", help="run the service; every other setting comes from STAMPWRIGHT_*")
    serve.add_argument("--host", help="address to listen on")
    serve.add_argument("--port", type=int, help="port to listen on; 0: any free one, which the log names")
    commands.add_parser("demo", help="the demo marks through the real service; -h says more", add_help=False)
    commands.add_parser("contract", help="print the contract of the service, OpenAPI 3.1")
    chosen, rest = parser.parse_known_args(argv)
    if chosen.command == "demo":
        demo = importlib.import_module("stampwright.demo.run")  # here, so that serving never loads the demo
        return int(demo.main(rest) or 0)
    if rest:
        parser.error(f"unknown: {' '.join(rest)}")
    if chosen.command == "contract":
        sys.stdout.buffer.write(importlib.import_module("stampwright.web").contract_text().encode())
        return 0
    return _serve({name: value for name, value in vars(chosen).items() if name != "command" and value is not None})


def _serve(given: dict[str, object]) -> int:
    web = importlib.import_module("stampwright.web")
    try:
        settings = web.Settings.from_environment(os.environ)
        web.start(dataclasses.replace(settings, **given))
    except (ValueError, OSError) as error:
        sys.stderr.write(f"stampwright: {error}\n")
        return 2
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
