"""Run the command line with `python -m recap`."""

from recap.cli import main

main()
