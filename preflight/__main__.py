"""Lets ``python -m preflight`` run the command."""

from preflight.cli import main

main(prog_name="preflight")
