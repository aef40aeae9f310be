"""Run the command line as ``python -m wood_xl``."""

import sys


def run() -> None:
    """Run it; whoever interrupts it while it is being loaded is told so in a line too."""
    try:
        from wood_xl.cli import main  # noqa: PLC0415
    except KeyboardInterrupt:
        sys.stderr.write("\nStopped. Nothing was written.\n")
        sys.exit(3)
    main()


if __name__ == "__main__":
    run()
