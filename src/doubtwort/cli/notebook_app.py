"""Adds the notebook's commands to the program."""

from __future__ import annotations

import typer

from doubtwort.cli import claims_app, list_app
from doubtwort.cli.sharing_app import add_sharing_commands

_COMMANDS = (
    list_app.find, list_app.season, list_app.due, list_app.recheck, list_app.history, list_app.undo,
)  # fmt: skip


def add_notebook_commands(app: typer.Typer) -> None:
    for each in (claims_app.claim, claims_app.taxon, list_app.vet, list_app.note, list_app.place):
        app.add_typer(each)
    for command in _COMMANDS:
        app.command()(command)
    add_sharing_commands(app)
