"""Run the command line as ``python -m wood_xl``."""

from wood_xl.cli import main

main()
