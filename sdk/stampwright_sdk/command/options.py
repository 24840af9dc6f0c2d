"""Options that several commands share."""

from __future__ import annotations

from pathlib import Path

import click

from stampwright_sdk.client import URL_VARIABLE

FILE = click.Path(exists=True, dir_okay=False, path_type=Path)
OUT = click.Path(dir_okay=False, path_type=Path)
FOLDER = click.Path(file_okay=False, path_type=Path)

url_option = click.option(
    "--url",
    envvar=URL_VARIABLE,
    help=f"Address of the service; also from {URL_VARIABLE}. Without one, a service is started for this command alone.",
)
job_option = click.option("--job", type=FILE, help="JSON file that says what is wanted beside the mark.")
font_option = click.option(
    "--font", "fonts", type=FILE, multiple=True, help="Font that the text of an SVG is set in; up to four, one each."
)
wait_option = click.option(
    "--wait",
    type=click.FloatRange(0),
    default=10.0,
    show_default=True,
    help="Seconds to keep asking a service that is busy or not there.",
)
json_option = click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON instead of tables.")
